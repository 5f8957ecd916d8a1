package pack

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"beamhelm/ephem/space"
)

func ownPack(t testing.TB) []byte {
	t.Helper()
	text, err := os.ReadFile("../../assets/ephemeris/de405.pack")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestReadOwnPack(t *testing.T) {
	p, err := Read(ownPack(t))
	if err != nil {
		t.Fatal(err)
	}
	from, to := p.Span()
	if from != 58832-mjdJ2000 || to != 73488-mjdJ2000 {
		t.Errorf("span %v to %v", from, to)
	}
	if !strings.Contains(strings.Join(p.Remarks, "\n"), "public domain") {
		t.Errorf("the header doesn't say whose work it is: %q", p.Remarks)
	}
}

// Records meet where one ends and the next begins, to what their steps allow.
func TestSeams(t *testing.T) {
	p, err := Read(ownPack(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name       string
		table      *Table
		value, per float64 // km and km/s, or radians and radians/s
	}{
		{"moon", &p.Moon, 0.008, 1.2e-6}, {"sun", &p.Sun, 0.4, 5e-6}, {"nutation", &p.Nutation, 2e-9, 1e-13},
	} {
		var value, rate float64
		for i := 1; i < c.table.records; i++ {
			seam := c.table.from + float64(i)*c.table.days
			a, ra := c.table.At(math.Nextafter(seam, 0))
			b, rb := c.table.At(seam)
			value = max(value, math.Abs(a.X-b.X), math.Abs(a.Y-b.Y), math.Abs(a.Z-b.Z))
			rate = max(rate, math.Abs(ra.X-rb.X), math.Abs(ra.Y-rb.Y), math.Abs(ra.Z-rb.Z))
		}
		t.Logf("%s: steps of %.2g and %.2g a second at the seams", c.name, value, rate)
		if value > c.value || rate > c.per {
			t.Errorf("%s: steps of %.2g and %.2g a second at the seams, want %.2g and %.2g", c.name, value, rate,
				c.value, c.per)
		}
	}
}

// The rate is the slope of the value.
func TestRateIsTheSlope(t *testing.T) {
	p, err := Read(ownPack(t))
	if err != nil {
		t.Fatal(err)
	}
	for day := 7400.1; day < 21900; day += 97.31 {
		_, rate := p.Moon.At(day)
		const step = 10.0 / daySeconds
		before, _ := p.Moon.At(day - step)
		after, _ := p.Moon.At(day + step)
		value, _ := p.Nutation.At(day)
		if x, y := p.Nutation.Pair(day); x != value.X || y != value.Y {
			t.Fatalf("day %.1f: the pair %v, %v is not that of %v", day, x, y, value)
		}
		if slope := (after.X - before.X) / 20; math.Abs(slope-rate.X) > 1.2e-6 { // as at the seams
			t.Fatalf("day %.1f: rate %.9f, slope %.9f km/s", day, rate.X, slope)
		}
	}
}

// small is a pack of one record a table, with changes to its header.
func small(change ...string) []byte {
	text := FirstLine + "\n"
	for i, name := range []string{"moon", "sun", "nutation"} {
		text += fmt.Sprintf("table %s from 58849 days 8 records 1 components %d terms 2 step 0.5 widths 2 1\n", name,
			[]int{3, 3, 2}[i])
	}
	text = strings.NewReplacer(change...).Replace(text + "end\n")
	text += "\x00\x01\xff\xff\x02\x00" + "\x02\xfe\x7f" // moon: 256 -1 2, 2 -2 127 halves
	return []byte(text + strings.Repeat("\x01", 9) + strings.Repeat("\x01", 6))
}

func TestSmallPack(t *testing.T) {
	p, err := Read(small())
	if err != nil {
		t.Fatal(err)
	}
	value, rate := p.Moon.At(58849 - mjdJ2000 + 8) // the end, where x is 1
	if value != (space.Vector{X: 128 + 1, Y: -0.5 - 1, Z: 1 + 63.5}) {
		t.Errorf("value %v", value)
	}
	if want := 1 * 2 / (8 * 86400.0); math.Abs(rate.X-want) > 1e-18 {
		t.Errorf("rate %v, want %v", rate.X, want)
	}
	if n, _ := p.Nutation.At(58849 - mjdJ2000 + 4); n.Z != 0 {
		t.Errorf("a third component of two: %v", n)
	}
}

func TestReadRefuses(t *testing.T) {
	for name, text := range map[string][]byte{
		"empty":             nil,
		"another file":      []byte("SQLite format 3\x00"),
		"another format":    small("format 1", "format 2"),
		"no end":            small("end\n", ""),
		"unknown table":     small("table sun", "table mars"),
		"table twice":       small("table sun", "table moon"),
		"table missing":     small("table sun", "remark"),
		"no span in common": small("sun from 58849", "sun from 60000"),
		"NaN":               small("from 58849", "from NaN"),
		"no days":           small("days 8", "days 0"),
		"no step":           small("step 0.5", "step -1"),
		"too many terms":    small("terms 2", "terms 99"),
		"widths":            small("widths 2 1", "widths 2"),
		"width of 9":        small("widths 2 1", "widths 9 1"),
		"records":           small("records 1", "records 1e12"),
		"two numbers":       small("records 1", "records 1 2"),
		"cut short":         small()[:len(small())-1],
		"left over":         append(small(), 0),
		"cut in the middle": ownPack(t)[:100000],
	} {
		if _, err := Read(text); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(small())
	f.Add(small("records 1", "records 2"))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := Read(text)
		if err != nil {
			return
		}
		from, to := p.Span()
		p.Moon.At(from)
		p.Sun.At((from + to) / 2)
		p.Nutation.At(to)
	})
}
