package passes

import (
	"math"
	"testing"
	"time"

	"beamhelm/ephem"
)

// Source: J. Meeus, Astronomical Algorithms, 2nd edition: example 52.a, the Moon's greatest northern
// declination on 1988 December 22 at 20 h 02 m TD, 28.1562 degrees, good to 5 minutes and 10″;
// chapter 50, the nearest perigees: 2052 December 6, 356 421 km (from memory).
func TestMarksAgainstMeeus(t *testing.T) {
	series, err := ephem.New(nil, ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	north := HighestDeclinations(series, day(1988, 12, 10), day(1989, 1, 1))
	if len(north) != 1 || north[0].At.Sub(time.Date(1988, 12, 22, 20, 1, 0, 0, time.UTC)).Abs() > 5*time.Minute ||
		math.Abs(north[0].Dec.Deg()-28.1562) > 0.0028 {
		t.Errorf("farthest north %+v", north)
	}
	nearest := Perigees(sky(t), day(2052, 11, 25), day(2052, 12, 20))
	if len(nearest) != 1 || nearest[0].At.Day() != 6 || math.Abs(nearest[0].DistanceKm-356421) > 1.5 {
		t.Errorf("nearest perigee %+v", nearest)
	}
}

func TestPerigees(t *testing.T) {
	s := sky(t)
	list := Perigees(s, day(2027, 1, 1), day(2028, 1, 1))
	if len(list) < 13 || len(list) > 14 {
		t.Errorf("%d perigees in a year", len(list))
	}
	for i, p := range list {
		for _, shift := range []time.Duration{-time.Hour, time.Hour} {
			if _, _, km := s.Geocentric(ephem.MoonBody(), p.At.Add(shift)); km < p.DistanceKm {
				t.Errorf("perigee %d at %v: %.1f km, but %.1f km an hour beside", i, p.At, p.DistanceKm, km)
			}
		}
		if p.DistanceKm < 356300 || p.DistanceKm > 370500 { // the extremes (Meeus, chapter 50)
			t.Errorf("perigee %d of %.0f km", i, p.DistanceKm)
		}
	}
}

func TestSunNear(t *testing.T) {
	s, st := sky(t), station(55.02, -2.96, 190)
	from, to := day(2027, 1, 1), day(2027, 7, 1)
	list := SunNear(s, ephem.MoonBody(), st, deg(10), from, to)
	near := func(at time.Time) bool {
		for _, p := range list {
			if !at.Before(p.Rise) && at.Before(p.Set) {
				return true
			}
		}
		return false
	}
	for at := from; at.Before(to); at = at.Add(10 * time.Minute) {
		a, b := s.Look(st.Site, ephem.MoonBody(), at), s.Look(st.Site, ephem.SunBody(), at)
		off := ephem.Separation(a.Az, a.El, b.Az, b.El).Deg()
		if (off <= 10) != near(at) && math.Abs(off-10) > 1e-4 {
			t.Fatalf("%v: %.4f degrees apart, in the list %v", at, off, near(at))
		}
	}
	if len(list) < 5 || len(list) > 7 { // one each new Moon, unless it passes wide
		t.Errorf("%d stretches", len(list))
	}
}
