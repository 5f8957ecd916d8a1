// Package pack reads and writes the ephemeris pack: Chebyshev records of the Moon, the
// Sun and the nutation over some decades, as one block of bytes.
//
// A pack begins with lines of text, the last of them "end". The first names the
// format; a line that begins with "table" describes a table, in the order of
// their bytes; other lines are remarks (origin, licence). A table line holds
// pairs of a word and its values:
//
//	table NAME from MJD days N records N components N terms N step S widths W...
//
// MJD is the modified Julian date (TDB) at which the first record begins, days the length
// of a record. After the end line follow the coefficients as signed integers,
// least byte first, in units of step: by record, then by term, then by
// component; term k takes the k-th of the widths, in bytes. In a record, time runs
// from -1 to 1 and the value is the sum of coefficient k times the Chebyshev
// polynomial of degree k.
//
// Tables: moon (from the Earth's centre, ICRF, km), sun (from the barycentre of Earth and
// Moon, ICRF, km), nutation (longitude and obliquity, IAU 2006/2000A, radians).
package pack

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/ephem/space"
)

// FirstLine is the line that every pack begins with.
const FirstLine = "Beamhelm ephemeris pack, format 1"

const (
	maxTerms = 16
	// mjdJ2000 is the modified Julian date of the zero of the day counts here.
	mjdJ2000 = 51544.5
	// maxCoefficients keeps a damaged header from asking for all memory.
	maxCoefficients = 1 << 24
	daySeconds      = 86400
)

// Pack is a pack, read. It must not be changed.
type Pack struct {
	Moon, Sun, Nutation Table
	// Remarks are the lines of the header that are not tables.
	Remarks []string
}

// Span returns the first and last instant that all tables cover, in days (TDB)
// from 2000-01-01T12:00:00.
func (p *Pack) Span() (from, to float64) {
	from, to = p.Moon.span()
	for _, t := range []*Table{&p.Sun, &p.Nutation} {
		first, last := t.span()
		from, to = max(from, first), min(to, last)
	}
	return from, to
}

// Table is the records of one thing.
type Table struct {
	from, days   float64 // from J2000
	records      int
	components   int // 2 or 3; kept as 3 in coefficients
	terms        int
	step         float64
	widths       []int
	coefficients []space.Vector
}

func (t *Table) span() (from, to float64) { return t.from, t.from + t.days*float64(t.records) }

// At returns the value (x, y, z; or longitude and obliquity) and its rate per
// second at a day (TDB) from
// 2000-01-01T12:00:00. Beyond the span of the table it returns the nearest record's
// polynomial, which soon means nothing: ask Span first.
func (t *Table) At(day float64) (value, rate space.Vector) {
	coefficients, x := t.record(day)
	// The Chebyshev polynomials of two degrees, and their derivatives. Sums in
	// plain variables stay in registers; this loop is most of a place's cost.
	p0, p1, d0, d1, twice := 1.0, x, 0.0, 1.0, 2*x
	vx, vy, vz := coefficients[0].X, coefficients[0].Y, coefficients[0].Z
	var rx, ry, rz float64
	for i := 1; i < len(coefficients); i++ {
		c := &coefficients[i]
		vx += c.X * p1
		vy += c.Y * p1
		vz += c.Z * p1
		rx += c.X * d1
		ry += c.Y * d1
		rz += c.Z * d1
		d0, d1 = d1, 2*p1+(twice*d1-d0)
		p0, p1 = p1, twice*p1-p0
	}
	scale := 2 / (t.days * daySeconds)
	return space.Vector{X: vx, Y: vy, Z: vz}, space.Vector{X: rx * scale, Y: ry * scale, Z: rz * scale}
}

// Pair returns the first two components of At's value, without their rates.
func (t *Table) Pair(day float64) (x, y float64) {
	coefficients, at := t.record(day)
	p0, p1, twice := 1.0, at, 2*at
	x, y = coefficients[0].X, coefficients[0].Y
	for i := 1; i < len(coefficients); i++ {
		c := &coefficients[i]
		x += c.X * p1
		y += c.Y * p1
		p0, p1 = p1, twice*p1-p0
	}
	return x, y
}

// record returns the coefficients for a day and where in the record it lies, from -1 to 1.
func (t *Table) record(day float64) (coefficients []space.Vector, at float64) {
	record := math.Floor((day - t.from) / t.days)
	record = max(0, min(record, float64(t.records-1)))
	first := int(record) * t.terms
	return t.coefficients[first : first+t.terms], 2*(day-t.from-record*t.days)/t.days - 1
}

// Read reads a pack.
func Read(packed []byte) (*Pack, error) {
	header, rest, found := bytes.Cut(packed, []byte("\nend\n"))
	lines := strings.Split(string(header), "\n")
	if !found || lines[0] != FirstLine {
		return nil, errors.New("it is not an ephemeris pack of format 1")
	}
	p := &Pack{}
	tables := map[string]*Table{"moon": &p.Moon, "sun": &p.Sun, "nutation": &p.Nutation}
	for _, line := range lines[1:] {
		words := strings.Fields(line)
		if len(words) < 2 || words[0] != "table" {
			p.Remarks = append(p.Remarks, line)
			continue
		}
		table, known := tables[words[1]]
		if !known || table.records != 0 {
			return nil, fmt.Errorf("table %q is not known or stands twice", words[1])
		}
		if err := table.describe(words[2:]); err != nil {
			return nil, fmt.Errorf("table %s: %w", words[1], err)
		}
		used, err := table.fill(rest)
		if err != nil {
			return nil, fmt.Errorf("table %s: %w", words[1], err)
		}
		rest = rest[used:]
	}
	for name, table := range tables {
		if table.records == 0 {
			return nil, fmt.Errorf("table %s is missing", name)
		}
	}
	if len(rest) != 0 {
		return nil, fmt.Errorf("%d bytes are left over", len(rest))
	}
	if from, to := p.Span(); from >= to {
		return nil, errors.New("its tables have no time in common")
	}
	return p, nil
}

// describe takes the words after the table's name.
func (t *Table) describe(words []string) error {
	numbers := map[string][]float64{}
	var key string
	for _, word := range words {
		number, err := strconv.ParseFloat(word, 64)
		switch {
		case err != nil:
			key = word
		case math.IsInf(number, 0) || math.IsNaN(number):
			return fmt.Errorf("%s %v is not a number that can be used", key, number)
		default:
			numbers[key] = append(numbers[key], number)
		}
	}
	for _, one := range []string{"from", "days", "records", "components", "terms", "step"} {
		if len(numbers[one]) != 1 {
			return fmt.Errorf("one number must follow %q, there are %d", one, len(numbers[one]))
		}
	}
	t.from, t.days, t.step = numbers["from"][0]-mjdJ2000, numbers["days"][0], numbers["step"][0]
	records, components, terms := numbers["records"][0], numbers["components"][0], numbers["terms"][0]
	if !(records >= 1 && components >= 1 && components <= 3 && terms >= 2 && terms <= maxTerms &&
		records*terms <= maxCoefficients && t.days > 0 && t.step > 0 && len(numbers["widths"]) == int(terms)) {
		return errors.New("its description is out of range")
	}
	t.records, t.components, t.terms = int(records), int(components), int(terms)
	t.widths = nil
	for _, width := range numbers["widths"] {
		if !(width >= 1 && width <= 8) {
			return fmt.Errorf("a coefficient of %v bytes", width)
		}
		t.widths = append(t.widths, int(width))
	}
	return nil
}

// fill takes the coefficients from the beginning of some bytes and returns how
// many bytes it used.
func (t *Table) fill(from []byte) (used int, err error) {
	for _, width := range t.widths {
		used += width
	}
	used *= t.components * t.records
	if len(from) < used {
		return 0, fmt.Errorf("%d bytes are needed, %d are there", used, len(from))
	}
	t.coefficients = make([]space.Vector, t.records*t.terms)
	for i := range t.coefficients {
		width := t.widths[i%t.terms]
		value := &t.coefficients[i]
		for _, component := range []*float64{&value.X, &value.Y, &value.Z}[:t.components] {
			*component = float64(signed(from[:width])) * t.step
			from = from[width:]
		}
	}
	return used, nil
}

// signed reads a signed integer of 1 to 8 bytes, least byte first.
func signed(from []byte) int64 {
	var n uint64
	for i, b := range from {
		n |= uint64(b) << (8 * i)
	}
	unused := 64 - 8*len(from)
	return int64(n<<unused) >> unused
}
