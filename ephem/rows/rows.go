// Package rows reads small CSV files strictly, one line a row, so that each mistake
// can be named by its line.
package rows

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Row is a line after the header, not an empty one.
type Row struct {
	Line   int
	Fields []string // as many as the header has, unless Err
	Err    error
}

// Error is a mistake in a line. It reads "LINE: reason", to be put after the file's name.
type Error struct {
	Line   int
	Reason string
}

func (e *Error) Error() string { return strconv.Itoa(e.Line) + ": " + e.Reason }

// Errorf makes an Error.
func Errorf(line int, format string, values ...any) error {
	return &Error{line, fmt.Sprintf(format, values...)}
}

// Read splits a CSV file whose first line must be one of some headers. It accepts
// UTF-8 without a byte-order mark, with one kind of line end (LF or CR LF), fields separated by
// commas. Its error is an Error about the file as a whole; mistakes of a row are in that row.
func Read(text []byte, headers ...string) (header string, list []Row, err error) {
	lines, err := split(text, headers[0])
	if err != nil {
		return "", nil, err
	}
	header = lines[0]
	if !slices.Contains(headers, header) {
		if slices.Contains(headers, strings.ReplaceAll(header, ";", ",")) {
			return "", nil, Errorf(1, "fields are separated by semicolons: use commas, and points in decimal numbers")
		}
		return "", nil, Errorf(1, "the header is %q, not %s", header, strings.Join(headers, " or "))
	}
	wanted := strings.Count(header, ",") + 1
	for i, line := range lines[1:] {
		if line == "" {
			continue
		}
		row := Row{Line: i + 2}
		fields, err := csv.NewReader(strings.NewReader(line)).Read()
		switch {
		case err != nil:
			row.Err = errors.New("a quotation mark is in the wrong place")
		case len(fields) != wanted:
			row.Err = fmt.Errorf("%d fields, must be %d", len(fields), wanted)
		default:
			row.Fields = fields
		}
		list = append(list, row)
	}
	return header, list, nil
}

// split returns the lines without their ends.
func split(text []byte, header string) ([]string, error) {
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return nil, Errorf(1, "empty; must begin with the header %s", header)
	case bytes.HasPrefix(text, []byte("\xef\xbb\xbf")):
		return nil, Errorf(1, "it begins with a byte-order mark: save it as plain UTF-8")
	case bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff")):
		return nil, Errorf(1, "it is UTF-16: save it as plain UTF-8")
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	windows := strings.HasSuffix(lines[0], "\r")
	for i, line := range lines {
		last := i == len(lines)-1 && !bytes.HasSuffix(text, []byte("\n"))
		if strings.HasSuffix(line, "\r") != windows && !last {
			return nil, Errorf(i+1, "lines end sometimes with LF, sometimes with CR LF: settle on one")
		}
		lines[i] = strings.TrimSuffix(line, "\r")
		if strings.Contains(lines[i], "\r") {
			return nil, Errorf(i+1, "a CR stands inside a line: end lines with LF or CR LF")
		}
	}
	return lines, nil
}
