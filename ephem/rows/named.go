package rows

import (
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Named is a file whose columns go by their names, in any order. Columns that nobody asks for are left alone.
type Named struct {
	at    map[string]int
	width int   // of the header
	List  []Row // those with too many fields have an Err
}

// Columns are the names of the columns that are read: those that must be there, and those that may.
type Columns struct{ Required, Optional []string }

// ReadNamed splits a CSV file by its header: the first line that isn't a remark, which begins with #. Its error is an
// Error: a required column that is missing, or one of these that stands twice.
func ReadNamed(text []byte, columns Columns) (*Named, error) {
	lines, err := split(text, strings.Join(columns.Required, ","))
	if err != nil {
		return nil, err
	}
	n := &Named{}
	for i, line := range lines {
		if strings.TrimSpace(line) == "" || strings.HasPrefix(strings.TrimSpace(line), "#") {
			continue
		}
		fields, err := csv.NewReader(strings.NewReader(line)).Read()
		if n.at == nil {
			if err := n.header(i+1, fields, err, columns); err != nil {
				return nil, err
			}
			continue
		}
		row := Row{Line: i + 1, Fields: fields}
		switch {
		case err != nil:
			row.Err = errors.New("a quotation mark is in the wrong place")
		case len(fields) > n.width:
			row.Err = fmt.Errorf("%d fields, the header has %d", len(fields), n.width)
		}
		n.List = append(n.List, row)
	}
	if n.at == nil {
		return nil, Errorf(1, "there is no header")
	}
	return n, nil
}

func (n *Named) header(line int, names []string, err error, columns Columns) error {
	if err != nil {
		return Errorf(line, "a quotation mark is in the wrong place")
	}
	if len(names) == 1 && strings.Contains(names[0], ";") {
		return Errorf(line, "fields are separated by semicolons: use commas, and points in decimal numbers")
	}
	n.at, n.width = map[string]int{}, len(names)
	for i, name := range names {
		name = strings.TrimSpace(name)
		if !slices.Contains(columns.Required, name) && !slices.Contains(columns.Optional, name) {
			continue // a spreadsheet leaves several without any name
		}
		if _, twice := n.at[name]; twice {
			return Errorf(line, "the column %s stands twice", name)
		}
		n.at[name] = i
	}
	for _, name := range columns.Required {
		if _, ok := n.at[name]; !ok {
			return Errorf(line, "the column %s is missing", name)
		}
	}
	return nil
}

// Field is what a row has in a column, without blanks around it; empty where it has none.
func (n *Named) Field(row Row, name string) string {
	i, ok := n.at[name]
	if !ok || i >= len(row.Fields) {
		return ""
	}
	return strings.TrimSpace(row.Fields[i])
}
