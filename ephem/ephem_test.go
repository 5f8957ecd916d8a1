package ephem

import (
	"math"
	"testing"
	"time"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func utc(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// seriesSky is a sky without a pack.
func seriesSky(t testing.TB) *Sky {
	t.Helper()
	s, err := New(nil, Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSeparation(t *testing.T) {
	rows := []struct {
		name                     string
		az1, el1, az2, el2, want float64
	}{
		// Meeus, Astronomical Algorithms, 2nd edition, example 17.a: Arcturus and Spica.
		{"Arcturus and Spica", 213.9154, 19.1825, 201.2983, -11.1614, 32.7930},
		{"same", 10, 20, 10, 20, 0},
		{"opposite", 10, 20, 190, -20, 180},
		{"a thousandth of a second at the zenith", 0, 90, 77, 90 - 1e-3/3600, 1e-3 / 3600},
		{"over north", 359.5, 0, 0.5, 0, 1},
	}
	for _, row := range rows {
		got := Separation(deg(row.az1), deg(row.el1), deg(row.az2), deg(row.el2)).Deg()
		if math.Abs(got-row.want) > 5e-5 || row.want < 1e-5 && math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s: %.9f, want %.4f", row.name, got, row.want)
		}
	}
}

func TestSiteValidate(t *testing.T) {
	for _, bad := range []Site{
		{Lat: deg(95)}, {Lat: deg(math.NaN())}, {Lon: deg(180.1)}, {Lon: deg(math.NaN())},
		{HeightM: math.NaN()}, {HeightM: -501}, {HeightM: math.Inf(1)},
	} {
		if bad.Validate() == nil {
			t.Errorf("%+v passes", bad)
		}
	}
	for _, good := range []Site{{}, {Lat: deg(90), Lon: deg(-180), HeightM: 8848}, {Lat: deg(-90), Lon: deg(180)}} {
		if err := good.Validate(); err != nil {
			t.Errorf("%+v: %v", good, err)
		}
	}
}

func TestConfigValidate(t *testing.T) {
	if _, err := New(nil, Config{UT1MinusUTC: 2 * time.Second}); err == nil {
		t.Error("UT1-UTC of 2 s passes")
	}
}

func TestDubious(t *testing.T) {
	s, site := seriesSky(t), Site{}
	for text, want := range map[string]bool{
		"1971-12-31T23:59:59Z": true, "1972-01-01T00:00:00Z": false,
		"2027-06-28T00:00:00Z": false, "2027-06-28T00:00:01Z": true,
	} {
		if got := s.Look(site, MoonBody(), utc(t, text)).Dubious; got != want {
			t.Errorf("%s: dubious %v, want %v", text, got, want)
		}
	}
	later, err := New(nil, Config{LeapSecondsKnownUntil: utc(t, "2027-12-28T00:00:00Z")})
	if err != nil {
		t.Fatal(err)
	}
	if later.Look(site, SunBody(), utc(t, "2027-04-14T16:00:00Z")).Dubious {
		t.Error("dubious although leap seconds are known to be none")
	}
}

// Source: IERS Bulletin C 52: TAI-UTC is 36 s until 2016-12-31T23:59:60, 37 s from then.
func TestScales(t *testing.T) {
	s, err := New(nil, Config{UT1MinusUTC: -300 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]float64{"2016-12-31T23:59:59Z": 68.184, "2017-01-01T00:00:00Z": 69.184,
		"1999-06-30T12:00:00Z": 64.184} {
		m := s.moment(utc(t, text))
		if got := (m.tt-m.ut1)*daySeconds - 0.3; math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: TT-UTC %.6f s, want %.3f", text, got, want)
		}
		if back := utcOfTT(m.tt); back.Sub(utc(t, text)).Abs() > 2*time.Microsecond {
			t.Errorf("%s comes back as %v", text, back)
		}
	}
}

// The practice station of the program at its first moment: common sense, no source; the
// Moon is up in the south-east, the Sun in the south-west.
func TestPracticeMoment(t *testing.T) {
	s, site := seriesSky(t), Site{Lat: deg(55.02), Lon: deg(-2.96), HeightM: 190}
	at := utc(t, "2027-04-14T16:00:00Z")
	moon, sun := s.Look(site, MoonBody(), at), s.Look(site, SunBody(), at)
	if math.Abs(moon.Az.Deg()-115.4) > 0.1 || math.Abs(moon.El.Deg()-40.1) > 0.1 {
		t.Errorf("Moon at %.3f, %.3f, want 115.4, 40.1", moon.Az.Deg(), moon.El.Deg())
	}
	if math.Abs(sun.Az.Deg()-247) > 0.5 || math.Abs(sun.El.Deg()-26) > 0.5 {
		t.Errorf("Sun at %.3f, %.3f, want 247, 26", sun.Az.Deg(), sun.El.Deg())
	}
	set, ok := s.NextSet(site, MoonBody(), DefaultAir(), 0, at, 48*time.Hour)
	rise, ok2 := s.NextRise(site, MoonBody(), DefaultAir(), 0, at, 48*time.Hour)
	if !ok || !ok2 || !set.Before(rise) {
		t.Errorf("set %v (%v), rise %v (%v)", set, ok, rise, ok2)
	}
	if el := DefaultAir().Refracted(s.Look(site, MoonBody(), set).El).Deg(); math.Abs(el) > 1e-5 {
		t.Errorf("at set the Moon stands at %.7f", el)
	}
}

// TestFastestClimb: no elevation changes faster than the bound that the searches rely on.
func TestFastestClimb(t *testing.T) {
	s := packSky(t)
	for lat := -90.0; lat <= 90; lat += 7.5 {
		site := Site{Lat: deg(lat), Lon: deg(lat * 2), HeightM: 5000}
		for _, body := range []Body{MoonBody(), SunBody(), Star("", deg(10), deg(-lat/2))} {
			bound, maximum := FastestClimb(site, body), 0.0
			for at := utc(t, "2026-01-01T00:00:00Z"); at.Year() == 2026; at = at.Add(97 * time.Minute) {
				before, later := s.Look(site, body, at).El, s.Look(site, body, at.Add(10*time.Second)).El
				maximum = max(maximum, math.Abs((later-before).Rad())/10)
			}
			if maximum > bound {
				t.Errorf("%s at latitude %v climbs by %.3g a second, the bound is %.3g", body.Name, lat, maximum, bound)
			}
		}
	}
}

// Values: explicit vectors and the IAU SOFA formula hd2pa agree on them (computed).
func TestPositionAngle(t *testing.T) {
	for _, row := range []struct{ lat, hourAngle, dec, want float64 }{
		{50, 45, 15, 36.144}, {40, -40, 15, -46.394}, {50, 10, 20, 12.503}, {50, -10, 20, -12.503},
		{52, -75, -10, -36.499}, {-35, 69, -10, 123.900}, {50, -65, 20, -42.899}, {35, 64, 20, 60.523},
		{50, 0, 20, 0}, {20, 0, 50, 180},
	} {
		zenith := space.Direction(deg(row.hourAngle), deg(row.lat)) // the target at right ascension 0
		got := positionAngle(zenith, space.Direction(0, deg(row.dec)).Times(384400)).Deg()
		close(t, "position angle", math.Abs(got), math.Abs(row.want), 6e-4)
		if got*row.want < 0 && math.Abs(row.want) < 180 {
			t.Errorf("%+v: the sign of %v is wrong", row, got)
		}
	}
	// The same from azimuth and elevation.
	s, site := packSky(t), Site{Lat: deg(52), Lon: deg(7), HeightM: 100}
	for at := utc(t, "2026-03-01T00:00:00Z"); at.Month() == 3; at = at.Add(7 * time.Hour) {
		look := s.Look(site, MoonBody(), at)
		sinA, cosA := look.Az.Sincos()
		sinE, cosE := look.El.Sincos()
		sinLat, cosLat := site.Lat.Sincos()
		want := math.Atan2(-sinA*cosLat, sinLat*cosE-cosLat*sinE*cosA) / degree
		close(t, "position angle", s.ParallacticAngle(site, MoonBody(), at).Deg(), want, 0.01)
	}
}
