package ephem

import (
	"os"
	"testing"
	"time"
)

// packed returns the bytes of the program's own pack.
func packed(t testing.TB) []byte {
	t.Helper()
	text, err := os.ReadFile("../assets/ephemeris/de405.pack")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// packSky is a sky with the program's own pack.
func packSky(t testing.TB) *Sky {
	t.Helper()
	s, err := New(packed(t), Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Source as in TestSeriesAgainstPlaces. The places are printed to 0.0000005 degree.
func TestPackAgainstPlaces(t *testing.T) {
	s := packSky(t)
	rows := append(placeRows(t, "moon_sun_places.csv"), placeRows(t, "source_places.csv")...)
	for _, kind := range []struct {
		name    string
		pick    func(placeRow) bool
		count   int
		maximum worst
	}{
		{"Moon", isMoon, 360, worst{1e-5, 1e-5, 0.01, 0.0005}},
		{"Sun", isSun, 360, worst{1e-5, 1e-5, 1, 0.002}},
		{"sources", isStar, 200, worst{apart: 5e-6}},
	} {
		w, count := worstOf(s, rows, kind.pick)
		t.Logf("%s: %+v", kind.name, w)
		if count != kind.count {
			t.Errorf("%s: %d rows, want %d", kind.name, count, kind.count)
		}
		if w.apart > kind.maximum.apart || w.radec > kind.maximum.radec || w.distance > kind.maximum.distance ||
			w.rate > kind.maximum.rate {
			t.Errorf("%s: worst %+v, want at most %+v", kind.name, w, kind.maximum)
		}
	}
}

func BenchmarkPlace(b *testing.B) {
	s, site := packSky(b), Site{Lat: deg(55.02), Lon: deg(-2.96), HeightM: 190}
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	for name, body := range map[string]Body{"Moon": MoonBody(), "Sun": SunBody(), "source": Star("", 1, 1)} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				s.Look(site, body, at.Add(time.Duration(i%525600)*time.Minute))
			}
		})
	}
}

// BenchmarkYearOfMinutes is the Moon at each minute of a year.
func BenchmarkYearOfMinutes(b *testing.B) {
	s, site := packSky(b), Site{Lat: deg(55.02), Lon: deg(-2.96), HeightM: 190}
	at := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	for b.Loop() {
		for i := range 525600 {
			s.Look(site, MoonBody(), at.Add(time.Duration(i)*time.Minute))
		}
	}
}
