package noise

import (
	"bytes"
	"compress/gzip"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

func ownTable(t testing.TB) []byte {
	t.Helper()
	packed, err := os.ReadFile("../../assets/sky408/sky.bin.gz")
	if err != nil {
		t.Fatal(err)
	}
	return packed
}

func ownSky(t testing.TB) *Sky {
	t.Helper()
	s, err := ParseSky(ownTable(t))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// authority reads a table of testdata/authorities by the names of its columns.
func authority(t testing.TB, name string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile("testdata/authorities/" + name)
	if err != nil {
		t.Fatal(err)
	}
	reader := csv.NewReader(bytes.NewReader(text))
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, field := range line {
			row[lines[0][i]] = field
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t testing.TB, row map[string]string, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(row[name], 64)
	if err != nil {
		t.Fatalf("%s of %v: %v", name, row, err)
	}
	return x
}

// Nodes of the table and the sum of its bytes, noted where it was made from the survey's pixels.
func TestSkyTable(t *testing.T) {
	s := ownSky(t)
	sum := 0
	for _, step := range s.steps {
		sum += int(step)
	}
	if sum != 12_245_395 {
		t.Errorf("the bytes come to %d", sum)
	}
	for _, row := range [][3]float64{
		{0, -90, 22.15}, {0, 90, 25.48}, {0, 0, 17.78}, {359.5, 0, 17.78}, {266.5, -29, 1733.50}, {145.5, 29.5, 12.16},
		{136.5, 7.5, 11.92}, {192.5, 27, 20.04},
		{13, -27, 19.65}, {351, 59, 84.60}, {300, 40.5, 72.09}, {83.5, 22, 44.61}, {187.5, 12.5, 19.26},
		{201.5, -43, 554.40}, {84, -5.5, 99.28}, {308.5, 41.5, 225.40},
	} {
		near(t, "node", s.At408(space.Direction(deg(row[0]), deg(row[1]))), row[2], 0.006)
	}
	// Between two nodes along straight lines, and over the meridian of 0.
	a, b := s.At408(space.Direction(deg(359.5), deg(20))), s.At408(space.Direction(0, deg(20)))
	near(t, "between", s.At408(space.Direction(deg(359.75), deg(20))), (a+b)/2, 1e-9)
}

// Source: testdata/authorities/sky408.csv, which names its own.
func TestSkyThroughABeam(t *testing.T) {
	s := ownSky(t)
	for _, row := range authority(t, "sky408.csv") {
		towards := space.Direction(deg(number(t, row, "ra_deg")), deg(number(t, row, "dec_deg")))
		got := s.Through(towards, deg(number(t, row, "hpbw_deg")), Fine)
		near(t, row["name"]+", "+row["hpbw_deg"]+" degrees", got, number(t, row, "t408_k"), number(t, row, "tol_k"))
		// The charts' few rings are within a tenth where the sky is smooth.
		if quick := s.Through(towards, deg(number(t, row, "hpbw_deg")), Coarse); math.Abs(quick/got-1) > 0.2 {
			t.Errorf("%s, %s degrees: few rings give %.1f, all %.1f", row["name"], row["hpbw_deg"], quick, got)
		}
	}
}

// Values: the same law worked out apart (computed).
func TestScaled(t *testing.T) {
	for _, row := range [][4]float64{
		{432, 13.24, 30.38, 600.28}, {1296, 3.27, 4.15, 33.50}, {2304, 2.84, 3.03, 9.23}, {5760, 2.73, 2.75, 3.27},
		{10368, 2.73, 2.73, 2.84},
	} {
		for i, at408 := range [...]float64{15, 35, 700} {
			near(t, "scaled", Scaled(at408, row[0]*1e6), row[i+1], 0.006)
		}
	}
	near(t, "at its own frequency", Scaled(26, 408e6), 26, 1e-9)
}

func packed(content []byte) []byte {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	w.Write(content)
	w.Close()
	return out.Bytes()
}

func TestParseSkyRefuses(t *testing.T) {
	good := packed(make([]byte, skyRows*skyColumns))
	if _, err := ParseSky(good); err != nil {
		t.Errorf("an even sky: %v", err)
	}
	spoilt := bytes.Clone(ownTable(t))
	spoilt[len(spoilt)-6]++
	for name, table := range map[string][]byte{
		"empty": nil, "short": packed(make([]byte, 100)), "long": packed(make([]byte, skyRows*skyColumns+1)),
		"words": []byte("warm"), "cut": good[:len(good)-9], "spoilt": spoilt,
	} {
		if _, err := ParseSky(table); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

// The poles of the ecliptic and of the equator are an obliquity apart; the equinox stays.
func TestEcliptic(t *testing.T) {
	longitude, latitude := Ecliptic(space.Vector{X: 1})
	near(t, "longitude of the equinox", longitude.Deg(), 0, 1e-12)
	near(t, "latitude of the equinox", latitude.Deg(), 0, 1e-12)
	// Source: J. Meeus, Astronomical Algorithms, 2nd edition, example 13.a: Pollux.
	longitude, latitude = Ecliptic(space.Direction(deg(116.328942), deg(28.026183)))
	near(t, "longitude of Pollux", longitude.Deg(), 113.215630, 2e-5)
	near(t, "latitude of Pollux", latitude.Deg(), 6.684170, 2e-5)
}

func FuzzParseSky(f *testing.F) {
	f.Add(ownTable(f))
	f.Fuzz(func(t *testing.T, table []byte) {
		if s, err := ParseSky(table); err == nil {
			if k := s.At408(space.Vector{X: 1}); !(k > BackgroundK) {
				t.Errorf("a temperature of %v", k)
			}
		}
	})
}

// The mean under a beam agrees with that by spherical harmonics, worked out by the library healpy (healpix.py beside
// the table says how).
func TestThroughByHarmonics(t *testing.T) {
	sky, worst, rows := ownSky(t), 0.0, authority(t, "healpix.csv")
	for _, row := range rows {
		number := func(column string) float64 {
			v, err := strconv.ParseFloat(row[column], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		want := number("kelvin")
		got := sky.Through(space.Direction(deg(number("ra")), deg(number("dec"))), deg(number("beam")), Fine)
		worst = max(worst, math.Abs(got/want-1))
		if math.Abs(got-want) > 0.005*want {
			t.Errorf("%v: %.2f K", row, got)
		}
	}
	t.Logf("%d directions and beams, at most %.2f %% apart", len(rows), 100*worst)
	if len(rows) < 240 {
		t.Errorf("only %d rows", len(rows))
	}
}
