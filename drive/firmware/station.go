package firmware

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Row is one line of the station's table.
type Row struct {
	Name string
	// Least and Most value, Unit and Words for the reader; Usual are the values of an unchanged table.
	Min, Max    int64
	Unit, Words string
	Usual       []int64
	size        int // bytes of a value
}

//go:embed core/station.def
var stationTable string

var rowLine = regexp.MustCompile(
	`(?m)^ROW\((u?)int(8|16|32)_t, (\w+), (\d+), (-?\d+), (-?\d+), "([^"]*)", "([^"]*)", ([-0-9, ]+)\)$`)

// Rows of the station's table, from the file that the compiler reads.
var Rows = sync.OnceValue(func() (rows []Row) {
	number := func(s string) int64 {
		v, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			panic(err) // the pattern has accepted it
		}
		return v
	}
	for _, m := range rowLine.FindAllStringSubmatch(stationTable, -1) {
		r := Row{Name: m[3], Min: number(m[5]), Max: number(m[6]), Unit: m[7], Words: m[8],
			size: int(number(m[2]) / 8)}
		for v := range strings.SplitSeq(m[9], ", ") {
			r.Usual = append(r.Usual, number(v))
		}
		if len(r.Usual) != int(number(m[4])) {
			panic(fmt.Sprintf("row %s has %d values", r.Name, len(r.Usual)))
		}
		rows = append(rows, r)
	}
	return rows
})

// Station is a filled-in table: values by row.
type Station struct{ values [][]int64 }

// UsualStation is the table unchanged.
func UsualStation() *Station {
	s := &Station{}
	for _, r := range Rows() {
		s.values = append(s.values, slices.Clone(r.Usual))
	}
	return s
}

// Values of a row, nil where there is no such row.
func (s *Station) Values(name string) []int64 {
	if i := rowAt(name); i >= 0 {
		return s.values[i]
	}
	return nil
}

// Set gives a row its values, as many as it has.
func (s *Station) Set(name string, values ...int64) error {
	i := rowAt(name)
	if i < 0 {
		return fmt.Errorf("%s: no such row", name)
	}
	if err := Rows()[i].check(values); err != nil {
		return err
	}
	s.values[i] = slices.Clone(values)
	return nil
}

func rowAt(name string) int {
	return slices.IndexFunc(Rows(), func(r Row) bool { return r.Name == name })
}

// Registers of readings that an input may serve: none, or any but the copy of the sequence.
const (
	firstReading = 0x40
	sequenceCopy = 0x58
)

func (r *Row) check(values []int64) error {
	if len(values) != len(r.Usual) {
		return fmt.Errorf("%s: %d values, expected %d", r.Name, len(values), len(r.Usual))
	}
	for _, v := range values {
		switch {
		case v < r.Min || v > r.Max:
			return fmt.Errorf("%s: %d: must be %d to %d %s", r.Name, v, r.Min, r.Max, r.Unit)
		case r.Name == "input_reading" && v != 0 && (v < firstReading || v == sequenceCopy):
			return fmt.Errorf("%s: %d is the register of no reading", r.Name, v)
		case r.Name == "baud" && !slices.Contains([]int64{9600, 19200, 38400, 57600, 115200}, v):
			return fmt.Errorf("%s: %d: must be 9600, 19200, 38400, 57600 or 115200", r.Name, v)
		}
	}
	return nil
}

// Text is the table as a file: a line for each row, with its meaning above it.
func (s *Station) Text() string {
	var b strings.Builder
	b.WriteString(
		"# What is fitted at the enclosure, its scales and its line. Rows left out have the values shown here.\n" +
			"# Where a row has two values they are azimuth and elevation.\n")
	for i, r := range Rows() {
		unit := ""
		if r.Unit != "" {
			unit = " " + r.Unit
		}
		fmt.Fprintf(&b, "\n# %s (%d to %d%s)\n%s =", r.Words, r.Min, r.Max, unit, r.Name)
		for _, v := range s.values[i] {
			fmt.Fprintf(&b, " %d", v)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// ParseStation reads such a file; what is wrong is told with its line.
func ParseStation(text string) (*Station, error) {
	s := UsualStation()
	seen := map[string]bool{}
	n := 0
	for line := range strings.Lines(text) {
		n++
		line, _, _ = strings.Cut(line, "#")
		if strings.TrimSpace(line) == "" {
			continue
		}
		name, rest, found := strings.Cut(line, "=")
		name = strings.TrimSpace(name)
		var values []int64
		for _, word := range strings.Fields(rest) {
			v, err := strconv.ParseInt(word, 0, 32)
			if err != nil {
				return nil, fmt.Errorf("line %d: %s: %q is no whole number", n, name, word)
			}
			values = append(values, v)
		}
		switch err := s.Set(name, values...); {
		case !found:
			return nil, fmt.Errorf("line %d: must be NAME = VALUE", n)
		case err != nil:
			return nil, fmt.Errorf("line %d: %w", n, err)
		case seen[name]:
			return nil, fmt.Errorf("line %d: %s is there twice", n, name)
		}
		seen[name] = true
	}
	return s, nil
}

// encode is the table as it stands in the image: little-endian, rows end to end.
func (s *Station) encode() (table []byte) {
	for i, r := range Rows() {
		for _, v := range s.values[i] {
			switch r.size {
			case 1:
				table = append(table, byte(v))
			case 2:
				table = binary.LittleEndian.AppendUint16(table, uint16(v))
			default:
				table = binary.LittleEndian.AppendUint32(table, uint32(v))
			}
		}
	}
	return table
}
