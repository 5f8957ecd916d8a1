package noise

import (
	"math"
	"os"
	"strconv"
	"strings"
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
	text, err := os.ReadFile("../../assets/sky408/ecliptic.csv")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func ownSky(t testing.TB) *Sky {
	t.Helper()
	s, err := ParseSky(ownTable(t))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSkyAt408(t *testing.T) {
	s := ownSky(t)
	for _, row := range []struct{ longitude, latitude, want float64 }{
		{267.5, -4.5, 511}, {147.5, 7.5, 19}, {357.5, -7.5, 18}, // middles of cells: the table itself
		{270, -4.5, (511 + 143) / 2.0}, {0, 1.5, (18 + 18) / 2.0}, {360, 1.5, 18}, {-2.5, 1.5, 18}, // between, and over 0
		{82.5, 0, (66 + 44) / 2.0}, {147.5, 9, 19}, {147.5, 20, 19}, {147.5, -90, 15}, // held beyond the edges
	} {
		near(t, "temperature", s.At408(deg(row.longitude), deg(row.latitude)), row.want, 1e-9)
	}
	// Along the ecliptic the survey itself, each 15 degrees (computed from its pixels): the means
	// of cells are near it where the sky is smooth.
	for i, want := range []float64{17.4, 21.3, 24.7, 27.6, 28.5, 33.5, 38.6, 30.9, 21.3, 16.2, 15.6, 17.4, 16.8, 29.1, 23.8, 33.8, 31.5, 70.0, 721, 53.7, 27.5, 25.7, 23.0, 20.5} {
		if want < 60 {
			near(t, "the ecliptic", s.At408(deg(15*float64(i)), 0), want, 0.3*want)
		}
	}
}

// Values: the same law worked out apart (computed).
func TestScaled(t *testing.T) {
	for _, row := range []struct{ k, mhz, want, tolerance float64 }{
		{15, 144, 187, 1}, {15, 432, 13.3, 0.05}, {15, 1296, 3.2, 0.05}, {26, 144, 352, 1}, {26, 432, 22.8, 0.05}, {26, 1296, 3.7, 0.05},
		{70, 144, 1012, 1}, {440, 432, 380, 1}, {720, 1296, 32.6, 0.1}, {720, 2304, 8.9, 0.05}, {720, 5760, 3.2, 0.05}, {26, 10368, 2.7, 0.05},
		{26, 408, 26, 1e-9},
	} {
		near(t, "scaled", Scaled(row.k, row.mhz*1e6), row.want, row.tolerance)
	}
}

func TestThrough(t *testing.T) {
	s := ownSky(t)
	if got := s.Through(deg(100), deg(2), deg(0.3)); got != s.At408(deg(100), deg(2)) {
		t.Errorf("a narrow beam sees %v", got)
	}
	flat, err := ParseSky([]byte(flatTable("30")))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "an even sky", flat.Through(deg(359), deg(5), deg(6)), 30, 1e-9)
	// A wide beam takes the top off the Galaxy's centre and fills in beside it.
	top, beside := s.Through(deg(267), deg(-5), deg(6)), s.Through(deg(260), deg(5), deg(6))
	if peak := s.At408(deg(267), deg(-5)); top >= peak || top < peak/3 {
		t.Errorf("the centre through a wide beam is %v, through a narrow one %v", top, peak)
	}
	if narrow := s.At408(deg(260), deg(5)); beside <= narrow {
		t.Errorf("beside the centre a wide beam sees %v, a narrow one %v", beside, narrow)
	}
}

// flatTable is a table of one temperature.
func flatTable(k string) string {
	text := "longitude_deg,a,b,c,d,e,f\n"
	for i := range 72 {
		text += strings.Join([]string{strconv.Itoa(5 * i), k, k, k, k, k, k}, ",") + "\n"
	}
	return text
}

func TestParseSkyRefuses(t *testing.T) {
	good := flatTable("30")
	for name, text := range map[string]string{
		"empty": "", "one row short": good[:len(good)-len("355,30,30,30,30,30,30\n")], "cold": flatTable("2"), "NaN": flatTable("NaN"),
		"words": flatTable("warm"), "out of order": strings.Replace(good, "\n5,", "\n6,", 1), "header": strings.Replace(good, "longitude_deg", "lon", 1),
	} {
		if _, err := ParseSky([]byte(text)); err == nil {
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
	f.Add([]byte(flatTable("30")))
	f.Fuzz(func(t *testing.T, text []byte) {
		if s, err := ParseSky(text); err == nil {
			if k := s.At408(1, 0.1); !(k > BackgroundK) {
				t.Errorf("a temperature of %v", k)
			}
		}
	})
}
