package settings

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Kind is the kind of value a key takes.
type Kind uint8

const (
	Number  Kind = iota // any decimal
	Whole               // a whole number
	Text                // words on one line
	Choice              // one of Field.Choices
	YesNo               // true or false
	Numbers             // a list of numbers
	Texts               // a list of words
	Points              // a list of [azimuth, elevation]
)

// Form is how a text must be made, where not any words will do.
type Form uint8

const (
	AnyText  Form = iota
	CallSign      // letters, figures and / of ASCII
	Host          // a host name or address, after which may stand a colon and a port
)

// Field is what is known of one key: the one table that serves reading,
// writing and whatever shows the settings for changing.
type Field struct {
	// Key is the whole key. [] stands for any member of a list, * for either
	// axis or any reading.
	Key string
	// Name in words, without section and unit: that of the row, where the key's own
	// last word says too little, else made of it.
	Name string
	Kind Kind
	// Unit of the number, as it is written.
	Unit string
	// Least and Most are the range of a number, or of each in a list; of a text, of its length in characters.
	Min, Max float64
	Choices  []string
	// Form is how a text must be made.
	Form Form
	// Needed says that the key has no usual value and must stand in the file.
	Needed bool
	// Usual is the usual value as it is written in the file; empty when Needed.
	Usual string
	// Why says what the value is for.
	Why string
}

// Allowed says in words what the key may be: "-90 to 90 degrees".
func (f Field) Allowed() string {
	span := number(f.Min) + " to " + number(f.Max)
	if f.Min == f.Max {
		span = number(f.Max)
	}
	if f.Unit != "" {
		span += " " + f.Unit
	}
	switch f.Kind {
	case Choice:
		choices := make([]string, len(f.Choices))
		for i, c := range f.Choices {
			choices[i] = quoted(c)
			if f.isNumeric() {
				choices[i] = c
			}
		}
		last := len(choices) - 1
		words := strings.Join(choices[:last], ", ") + " or " + choices[last]
		if f.isNumeric() && f.Unit != "" {
			words += " " + f.Unit
		}
		return words
	case Whole:
		return "whole, " + span
	case Text:
		what := map[Form]string{AnyText: "text", CallSign: "letters, figures and /", Host: "host or host:port"}[f.Form]
		if f.Min == 0 {
			return fmt.Sprintf("%s, at most %s characters", what, number(f.Max))
		}
		return fmt.Sprintf("text, %s characters", span)
	case Texts:
		return fmt.Sprintf("a list of texts, each of %s characters", span)
	case YesNo:
		return "true or false"
	case Numbers:
		return "a list of numbers, each " + span
	case Points:
		return "a list of [azimuth, elevation], azimuth rising from 0 to below 360 degrees, elevation -10 to 90 degrees"
	}
	return span
}

// isNumeric reports that the choices are numbers.
func (f Field) isNumeric() bool {
	if len(f.Choices) == 0 {
		return false
	}
	_, err := strconv.Atoi(f.Choices[0])
	return err == nil
}

// Section is what is said above a section of the file.
type Section struct {
	// Key as in Field.
	Key string
	// List says that the section may stand several times, up to Most, at least Least.
	List     bool
	Min, Max int
	Why      string
}

// Sections are the sections of the file, in its order.
//
//beamhelm:table
func Sections() []Section {
	return []Section{
		{Key: "station", Why: "Where the dish stands."},
		{Key: "dish", Why: "The reflector."},
		{Key: "bands", List: true, Min: 1, Max: MaxBands,
			Why: "A band; repeat the section for each. The first is the one in use after a start."},
		{Key: "bands[].feeds", List: true, Min: 1, Max: MaxFeeds,
			Why: "A feed of the band above; repeat the section for each."},
		{Key: "link", Why: "The serial line to the enclosure (MODBUS RTU)."},
		{Key: "axes.*", Why: "An axis. Angles are axis angles; those of azimuth run over the cable wrap and aren't " +
			"folded to a circle."},
		{Key: "motion", Why: "Rules of motion that belong to no axis."},
		{Key: "tracking",
			Why: "How closely a target is tracked. Beamwidths are half-power beamwidths of the band in use."},
		{Key: "structures", List: true, Max: MaxStructures,
			Why: "Something the dish must stay above, wherever it goes; repeat the section for each."},
		{Key: "horizon", Why: "The surveyed horizon; it decides when a target rises and sets."},
		{Key: "closed_sectors", List: true, Max: MaxClosedSectors,
			Why: "A part of the sky into which nothing is transmitted; repeat the section for each."},
		{Key: "permit",
			Why: "When the transmit permit is withdrawn. The sequencer alone protects amplifier and preamplifier."},
		{Key: "park", Why: "The park position, as axis angles."},
		{Key: "wind_stow", Why: "Where the dish goes in a storm, as a rule face up."},
		{Key: "snow_stow", Why: "Where the dish goes in snow: as low as it can, to let it slide off."},
		{Key: "wind",
			Why: "When the wind sends the dish to its wind stow. Set these to what your dish and mount were built " +
				"for."},
		{Key: "sun", Why: "A bare dish brings the Sun to a focus: it burns feeds and whoever looks into it."},
		{Key: "air", Why: "The air at the antenna, for refraction."},
		{Key: "clock", Why: "The time."},
		{Key: "periods", Why: "The transmit and receive periods of a timed contact."},
		{Key: "meter", Why: "The noise detector."},
		{Key: "radio", Why: "The radio's serial control port, over which its dial is read and, where that is " +
			"switched on, set. It never keys the radio."},
		{Key: "keying", Why: "How the transmitter is keyed to measure the station's own echoes, and the tone sent to " +
			"it. The sequencer has the last word, and a limit of its own."},
		{Key: "audio", Why: "The receiver's audio, for the spectrum and the noise meter. Without a sound system " +
			"nothing else changes."},
		{Key: "sound", Why: "Alarm sounds. Silent on a computer without a loudspeaker or a program to play them."},
		{Key: "camera", Why: "A camera at the dish, shown under Health and beside the sky. What it shows is for your " +
			"eyes: no guard looks at it."},
		{Key: "publish", Why: "What other programs may read. No command comes in this way. Off by default; see the " +
			"handbook's page on publishing."},
		{Key: "readings", Why: "The limits of the enclosure's readings, a line each. A limit left out isn't judged; " +
			"a reading left out has its default limits."},
		{Key: "readings.*", Why: "The limits of one reading, in its unit."},
	}
}

// Fields are all keys, in the order of the file.
func Fields() []Field {
	fields := rows()
	kinds, usual := kindsByKey(), usualByKey()
	for i := range fields {
		f := &fields[i]
		f.Kind = kinds[f.Key]
		if f.Name == "" {
			f.Name = nameOf(f.Key)
		}
		if len(f.Choices) > 0 {
			f.Kind = Choice
		}
		if !f.Needed {
			f.Usual = usual[f.Key]
		}
	}
	return fields
}

// schema finds fields and sections by key.
type schema struct {
	fields   map[string]Field
	sections map[string]Section
	readings map[string]Reading
}

func newSchema() schema {
	s := schema{map[string]Field{}, map[string]Section{}, map[string]Reading{}}
	for _, f := range Fields() {
		s.fields[f.Key] = f
	}
	for _, section := range Sections() {
		s.sections[section.Key] = section
	}
	for _, r := range Readings() {
		s.readings[r.Key] = r
	}
	return s
}

// field returns what is known of a key of real settings, such as
// bands[0].mhz; ok is false where there is no such key.
func (s schema) field(key string) (f Field, ok bool) {
	f, ok = s.fields[patternOf(key)]
	if !ok || !strings.HasPrefix(key, "readings.") {
		return f, ok
	}
	parts := strings.Split(key, ".")
	reading, known := s.readings[parts[1]]
	if !known {
		return f, false
	}
	switch parts[2] {
	case "hold_s":
	case "hysteresis":
		f.Unit, f.Max = reading.Unit, (reading.Max-reading.Min)/2
	default:
		f.Unit, f.Min, f.Max = reading.Unit, reading.Min, reading.Max
	}
	return f, true
}

// FieldOf returns what is known of a key of real settings, such as
// bands[0].mhz, axes.azimuth.pulses or readings.battery_v.alarm_low; ok is
// false where there is no such key.
func FieldOf(key string) (f Field, ok bool) {
	f, ok = newSchema().field(key)
	f.Key = key
	return f, ok
}

// patternOf turns a key of real settings into that of the table.
func patternOf(key string) string {
	var pattern strings.Builder
	for i, part := range strings.Split(key, ".") {
		if i > 0 {
			pattern.WriteByte('.')
		}
		name, index, _ := strings.Cut(part, "[")
		switch {
		case i == 1 && (strings.HasPrefix(key, "axes.") || strings.HasPrefix(key, "readings.")):
			pattern.WriteByte('*')
		case index != "":
			pattern.WriteString(name + "[]")
		default:
			pattern.WriteString(name)
		}
	}
	return pattern.String()
}

// number writes a number without needless digits.
func number(v float64) string {
	if size := math.Abs(v); size != 0 && (size < 1e-9 || size >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64) // no hundreds of zeros
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// quoted writes words as a TOML string. Control characters are refused before it comes to this.
func quoted(words string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(words) + `"`
}
