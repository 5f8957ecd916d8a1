package passes

import (
	"math"
	"os"
	"testing"
	"time"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func sky(t testing.TB) *ephem.Sky {
	t.Helper()
	packed, err := os.ReadFile("../../assets/ephemeris/de405.pack")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func station(lat, lon, height float64) Station {
	return Station{Site: ephem.Site{Lat: deg(lat), Lon: deg(lon), HeightM: height}, Air: ephem.DefaultAir()}
}

func day(year int, month time.Month, d int) time.Time {
	return time.Date(year, month, d, 0, 0, 0, 0, time.UTC)
}

// seen is the margin over the least elevation, by the definition itself.
func seen(s *ephem.Sky, body ephem.Body, st Station, at time.Time) float64 {
	look := s.Look(st.Site, body, at)
	minimum := st.Min
	if n := len(st.Horizon); n > 0 {
		place := look.Az.Deg() / 360 * float64(n)
		i := int(place)
		part := place - float64(i)
		minimum = max(minimum, st.Horizon[i%n].Mul(1-part)+st.Horizon[(i+1)%n].Mul(part))
	}
	return (st.Air.Refracted(look.El) - minimum).Deg()
}

// Every change that a scan of minutes (of 20000 steps over a long span) finds must be the rise or set of a pass, to 1
// s.
func TestPassesAgainstDenseScan(t *testing.T) {
	s := sky(t)
	rough := make([]unit.Angle, 360)
	for i := range rough {
		rough[i] = deg(3 + 2*math.Sin(float64(i)/9))
	}
	withHorizon := station(55.02, -2.96, 190)
	withHorizon.Horizon = rough
	minimum := station(-34.9, -56.2, 50)
	minimum.Min = deg(12)
	rows := []struct {
		name    string
		station Station
		body    ephem.Body
		days    int
	}{
		{"middle north", station(55.02, -2.96, 190), ephem.MoonBody(), 60},
		{"equator", station(0, 36, 1800), ephem.MoonBody(), 30},
		{"arctic, Moon up or down for days", station(71, 25, 10), ephem.MoonBody(), 90},
		{"arctic circle, grazing", station(62.2, 25, 10), ephem.MoonBody(), 90},
		{"antarctic", station(-77.8, 166.7, 20), ephem.MoonBody(), 60},
		{"north pole", station(90, 0, 0), ephem.MoonBody(), 90},
		{"south pole", station(-90, 0, 2800), ephem.SunBody(), 366},
		{"antimeridian", station(-16.8, 180, 5), ephem.MoonBody(), 30},
		{"antimeridian from the west", station(-16.8, -179.99, 5), ephem.SunBody(), 30},
		{"star", station(40, -100, 1000), ephem.Star("Cyg A", deg(299.868), deg(40.734)), 20},
		{"star that never sets", station(55, -3, 0), ephem.Star("Cas A", deg(350.85), deg(58.815)), 5},
		{"star that never rises", station(-55, -3, 0), ephem.Star("Cas A", deg(350.85), deg(58.815)), 5},
		{"least elevation", minimum, ephem.MoonBody(), 30},
		{"surveyed horizon", withHorizon, ephem.MoonBody(), 20},
	}
	for _, row := range rows {
		from := day(2026, 3, 1)
		to := from.AddDate(0, 0, row.days)
		found := Of(s, row.body, row.station, from, to)
		checkAgainstScan(t, s, row.name, row.body, row.station, from, to, found)
		t.Logf("%s: %d passes", row.name, len(found))
	}
}

func checkAgainstScan(t *testing.T, s *ephem.Sky, name string, body ephem.Body, st Station, from, to time.Time,
	found []Pass) {
	t.Helper()
	up := func(at time.Time) bool {
		for _, p := range found {
			if !at.Before(p.Rise) && at.Before(p.Set) {
				return true
			}
		}
		return false
	}
	step := max(time.Minute, to.Sub(from)/20000)
	wrong := 0
	for at := from; at.Before(to); at = at.Add(step) {
		if margin := seen(s, body, st, at); (margin >= 0) != up(at) && math.Abs(margin) > 1e-6 {
			if wrong++; wrong <= 3 {
				t.Errorf("%s: at %v the margin is %.6f degrees, but in a pass: %v", name, at, margin, up(at))
			}
		}
	}
	for i, p := range found {
		for _, edge := range []struct {
			at    time.Time
			cut   bool
			which float64
		}{{p.Rise, p.CutRise, 1}, {p.Set, p.CutSet, -1}} {
			if edge.cut {
				continue
			}
			before, later := seen(s, body, st, edge.at.Add(-time.Second)), seen(s, body, st, edge.at.Add(time.Second))
			if before*edge.which > 0 || later*edge.which < 0 {
				t.Errorf("%s: pass %d: within 1 s of %v the margin goes from %.7f to %.7f", name, i, edge.at, before,
					later)
			}
		}
		for at := p.Rise; at.Before(p.Set); at = at.Add(5 * time.Minute) {
			if el := st.Air.Refracted(s.Look(st.Site, body, at).El); el > p.HighestEl+1e-9 {
				t.Errorf("%s: pass %d stands at %.5f at %v, but highest is %.5f", name, i, el.Deg(), at,
					p.HighestEl.Deg())
				break
			}
		}
	}
}

func TestCuts(t *testing.T) {
	s, cas := sky(t), ephem.Star("Cas A", deg(350.85), deg(58.815))
	from := day(2026, 3, 1)
	whole := Of(s, cas, station(55, -3, 0), from, from.AddDate(0, 0, 2))
	if len(whole) != 1 || !whole[0].CutRise || !whole[0].CutSet || !whole[0].Rise.Equal(from) {
		t.Errorf("a star that never sets: %+v", whole)
	}
	if none := Of(s, cas, station(-55, -3, 0), from, from.AddDate(0, 0, 2)); len(none) != 0 {
		t.Errorf("a star that never rises: %+v", none)
	}
	if none := Of(s, cas, station(55, -3, 0), from, from); len(none) != 0 {
		t.Errorf("a span of no length: %+v", none)
	}
	if none := Of(s, cas, station(55, -3, 0), from, from.AddDate(0, 0, -2)); len(none) != 0 {
		t.Errorf("a span backwards: %+v", none)
	}
}

// Shared passes are where both stations' own passes are.
func TestShared(t *testing.T) {
	s, moon := sky(t), ephem.MoonBody()
	here := station(55.02, -2.96, 190)
	from := day(2027, 1, 1)
	to := from.AddDate(0, 0, 40)
	for _, there := range []Station{station(-34.9, 138.6, 50), station(35.7, 139.7, 40), station(41.7, -72.7, 60),
		station(78.2, 15.6, 10), station(-90, 0, 2800)} {
		shared := Shared(s, moon, here, []Station{there}, from, to)
		inside := func(at time.Time) bool {
			for _, p := range shared {
				if !at.Before(p.Rise) && at.Before(p.Set) {
					return true
				}
			}
			return false
		}
		for at := from; at.Before(to); at = at.Add(time.Minute) {
			a, b := seen(s, moon, here, at), seen(s, moon, there, at)
			if (a >= 0 && b >= 0) != inside(at) && math.Abs(min(a, b)) > 1e-6 {
				t.Fatalf("at %v: %.5f here, %.5f there, shared: %v", at, a, b, inside(at))
			}
		}
		for _, p := range shared {
			if look := s.Look(here.Site, moon, p.Rise); math.Abs((look.Az - p.RiseAz).Deg()) > 1e-9 {
				t.Errorf("azimuth %.4f at the beginning, want this station's %.4f", p.RiseAz.Deg(), look.Az.Deg())
			}
		}
	}
}

// A shared pass that the span cuts at either edge, or at both, says so, and ends there.
func TestSharedCuts(t *testing.T) {
	s, moon := sky(t), ephem.MoonBody()
	here, there := station(55.02, -2.96, 190), station(52.5, 13.4, 40)
	whole := Shared(s, moon, here, []Station{there}, day(2027, 4, 14), day(2027, 4, 16))[1]
	if whole.CutRise || whole.CutSet {
		t.Fatalf("cut: %+v", whole)
	}
	third := whole.Set.Sub(whole.Rise) / 3
	from, to := whole.Rise.Add(third).Truncate(time.Second), whole.Set.Add(-third).Truncate(time.Second)
	for name, row := range map[string]struct {
		from, to         time.Time
		cutRise, cutSet  bool
		wantRise, wantTo time.Time
	}{
		"at the beginning": {from, to.Add(24 * time.Hour), true, false, from, whole.Set},
		"at the end":       {from.Add(-24 * time.Hour), to, false, true, whole.Rise, to},
		"at both":          {from, to, true, true, from, to},
	} {
		found := false
		for _, p := range Shared(s, moon, here, []Station{there}, row.from, row.to) {
			if p.Set.Before(from) || p.Rise.After(to) {
				continue
			}
			found = true
			if p.CutRise != row.cutRise || p.CutSet != row.cutSet ||
				p.Rise.Sub(row.wantRise).Abs() > 100*time.Millisecond ||
				p.Set.Sub(row.wantTo).Abs() > 100*time.Millisecond {
				t.Errorf("cut %s: %+v", name, p)
			}
		}
		if !found {
			t.Errorf("cut %s: nothing is shared", name)
		}
	}
}

// The other side of the Earth never shares: the Moon is up at one of two antipodes.
func TestAntipodesShareNothing(t *testing.T) {
	s := sky(t)
	here, there := station(30, 10, 0), station(-30, -170, 0)
	here.Air, there.Air = ephem.Air{}, ephem.Air{}
	if shared := Shared(s, ephem.MoonBody(), here, []Station{there}, day(2027, 1, 1),
		day(2027, 3, 1)); len(shared) != 0 {
		t.Errorf("antipodes share %+v", shared)
	}
}

func TestStationValidate(t *testing.T) {
	bad := []Station{{Site: ephem.Site{Lat: deg(95)}}, {Min: deg(91)}, {Horizon: []unit.Angle{deg(math.NaN())}},
		{Air: ephem.Air{PressureHPa: -1}}}
	for _, st := range bad {
		if st.Validate() == nil {
			t.Errorf("%+v passes", st)
		}
	}
	if err := station(55, -3, 0).Validate(); err != nil {
		t.Error(err)
	}
}

// BenchmarkYearShared is a year of shared passes of two stations.
func BenchmarkYearShared(b *testing.B) {
	s := sky(b)
	here, there := station(55.02, -2.96, 190), station(-34.9, 138.6, 50)
	for b.Loop() {
		Shared(s, ephem.MoonBody(), here, []Station{there}, day(2027, 1, 1), day(2028, 1, 1))
	}
}
