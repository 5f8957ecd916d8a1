package command

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
)

// form is how figures are written.
type form uint8

const (
	asText form = iota // columns in line, for reading
	asCSV              // RFC 4180 with a header, lines ended by LF
	asJSON             // an array of objects
)

// column is a column of figures.
type column struct {
	name     string
	decimals int // of its numbers
}

// cell is one figure: a string, a float64, or nil where there is none.
type cell any

// figures writes rows under columns, in one form.
type figures struct {
	columns []column
	form    form
	csv     *csv.Writer
	text    *tabwriter.Writer
	out     io.Writer
	rows    int
}

// newFigures begins a table; end must be called after the last row.
func newFigures(out io.Writer, f form, columns []column) *figures {
	table := &figures{columns: columns, form: f, out: out}
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	switch f {
	case asCSV:
		table.csv = csv.NewWriter(out)
		table.csv.Write(names) // its error is kept until end
	case asText:
		table.text = tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
		fmt.Fprintln(table.text, strings.Join(names, "\t"))
	}
	return table
}

// row writes one row of as many cells as there are columns.
func (t *figures) row(cells ...cell) error {
	defer func() { t.rows++ }()
	if t.form == asJSON {
		return t.object(cells)
	}
	words := make([]string, len(cells))
	for i, c := range cells {
		words[i] = t.columns[i].word(c)
	}
	if t.form == asCSV {
		return t.csv.Write(words)
	}
	_, err := fmt.Fprintln(t.text, strings.TrimRight(strings.Join(words, "\t"), "\t"))
	return err
}

func (t *figures) object(cells []cell) error {
	line := bytes.NewBufferString(",\n{")
	if t.rows == 0 {
		line = bytes.NewBufferString("[\n{")
	}
	for i, c := range cells {
		if i > 0 {
			line.WriteByte(',')
		}
		fmt.Fprintf(line, "%q:", t.columns[i].name)
		switch c := c.(type) {
		case nil:
			line.WriteString("null")
		case string:
			quoted, err := json.Marshal(c)
			if err != nil {
				return err
			}
			line.Write(quoted)
		default:
			line.WriteString(t.columns[i].word(c))
		}
	}
	line.WriteByte('}')
	_, err := t.out.Write(line.Bytes())
	return err
}

// end writes what is left.
func (t *figures) end() error {
	switch t.form {
	case asCSV:
		t.csv.Flush()
		return t.csv.Error()
	case asText:
		return t.text.Flush()
	}
	closing := "\n]\n"
	if t.rows == 0 {
		closing = "[]\n"
	}
	_, err := io.WriteString(t.out, closing)
	return err
}

// word writes a cell with the column's decimals, never as minus nothing.
func (c column) word(value cell) string {
	switch value := value.(type) {
	case nil:
		return ""
	case string:
		return value
	case float64:
		word := strconv.FormatFloat(value, 'f', c.decimals, 64)
		if strings.Trim(word, "-0.") == "" {
			word = strings.TrimPrefix(word, "-")
		}
		return word
	}
	panic(fmt.Sprintf("a figure of type %T", value))
}

// circle folds degrees so that they print from 0 to below 360 with some decimals.
func circle(degrees float64, decimals int) float64 {
	unit := math.Pow(10, float64(decimals))
	degrees = math.Round(degrees*unit) / unit
	if degrees >= 360 {
		degrees -= 360
	}
	return degrees
}
