// Package message is what the desk and its parts tell: a code with its arguments. One catalogue words them, a table
// for each part of the desk, with the decimals, the units and the marks of figures. Pure.
package message

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/printable"
	"beamhelm/drive/guard"

	"github.com/soniakeys/unit"
)

// Code names what is told: the part of the desk, a dot, and what happened there. What looks at a message compares it.
type Code string

// Message is something told. Its zero says nothing.
type Message struct {
	Code Code
	// Args are values: angles, moments, figures whose unit the catalogue says, names, and other messages.
	Args []any
}

// Of is a message with a code of the catalogue.
func Of(code Code, args ...any) Message { return Message{code, args} }

// text is the code of words that come from outside the desk.
const text Code = "text"

// Text is a message of words from outside the desk: of the system, of a device, or kept by an earlier session.
func Text(words string) Message {
	if words == "" {
		return Message{}
	}
	return Of(text, printable.Words(words))
}

// OfError is the message that an error is, or its words; of nil that which says nothing.
func OfError(err error) Message {
	if err == nil {
		return Message{}
	}
	if m, ok := err.(Message); ok {
		return m
	}
	return Text(err.Error())
}

// String is the message in words. A code that the catalogue lacks stands for itself.
func (m Message) String() string {
	format, known := catalogue[m.Code]
	if !known {
		return string(m.Code)
	}
	args := make([]any, len(m.Args))
	for i, a := range m.Args {
		args[i] = argument{a}
	}
	return fmt.Sprintf(format, args...)
}

// Has reports whether it has a code, or a message among its arguments has.
func (m Message) Has(code Code) bool {
	return m.Code == code || slices.ContainsFunc(m.Args, func(a any) bool {
		within, is := a.(Message)
		return is && within.Has(code)
	})
}

// Error implements error: what can't be done is told by a message too.
func (m Message) Error() string { return m.String() }

// MarshalText keeps the words: who reads them may have another catalogue.
func (m Message) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText takes kept words.
func (m *Message) UnmarshalText(words []byte) error {
	*m = Text(string(words))
	return nil
}

// argument words a value by the verb: angles are figures in degrees, durations are whole seconds.
type argument struct{ value any }

// layouts are the verbs of moments, in UTC.
var layouts = map[rune]string{
	'h': "15:04", 'k': "15:04:05", 'D': "2 Jan 15:04", 'J': "2 January at 15:04", 'H': "15:04 on 2 Jan",
	'Y': time.DateOnly,
}

// Format implements fmt.Formatter. Besides fmt's own verbs and those of moments there are C and L: with a capital at
// the beginning, and as the words go on in a sentence; and N: what to do about what a guard found.
func (a argument) Format(f fmt.State, verb rune) {
	value := a.value
	switch v := value.(type) {
	case unit.Angle:
		value = v.Deg()
	case time.Duration:
		value = span(v.Round(time.Second))
	case time.Time:
		value, verb = v.UTC().Format(layouts[verb]), 's'
	case guard.Code:
		row := guard.RowOf(v)
		if value = row.Words; verb == 'N' {
			value, verb = row.Next, 's'
		}
	}
	switch verb {
	case 'C':
		value, verb = Capital(fmt.Sprint(value)), 's'
	case 'L':
		value, verb = guard.Lower(fmt.Sprint(value)), 's'
	}
	fmt.Fprintf(f, fmt.FormatString(f, verb), value)
}

// span is whole seconds in words.
func span(d time.Duration) string {
	hours, minutes, seconds := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	switch {
	case hours > 0:
		return fmt.Sprintf("%d h %02d min", hours, minutes)
	case minutes > 0:
		return fmt.Sprintf("%d min %d s", minutes, seconds)
	}
	return fmt.Sprintf("%d s", seconds)
}

// Figure is a reading's value with its decimals, in its unit.
type Figure struct {
	Value    float64
	Decimals int
	Unit     string
}

// String is the figure as it stands in a sentence.
func (f Figure) String() string {
	words := strconv.FormatFloat(f.Value, 'f', f.Decimals, 64)
	if f.Unit != "" && f.Unit != "°" && f.Unit != "°/s" {
		words += " "
	}
	return words + f.Unit
}

// Capital is the words with a capital at their beginning.
func Capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}
