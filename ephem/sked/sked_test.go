package sked

import (
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/faraday"
	"beamhelm/ephem/locator"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
	"beamhelm/ephem/passes"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func read(t testing.TB, file string) []byte {
	t.Helper()
	text, err := os.ReadFile("../../assets/" + file)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func skies(t testing.TB) (*ephem.Sky, *noise.Sky) {
	t.Helper()
	sky, err := ephem.New(read(t, "ephemeris/de405.pack"), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	galaxy, err := noise.ParseSky(read(t, "sky408/sky.bin.gz"))
	if err != nil {
		t.Fatal(err)
	}
	return sky, galaxy
}

// at is an invented station in a cell of the locator.
func at(t testing.TB, cell string, minimum float64, p partner.Polarisation) Station {
	t.Helper()
	lat, lon, _, _, err := locator.Parse(cell)
	if err != nil {
		t.Fatal(err)
	}
	site := ephem.Site{Lat: lat, Lon: lon}
	return Station{Station: passes.Station{Site: site, Air: ephem.DefaultAir(), Min: deg(minimum)}, Name: cell,
		Polarisation: p}
}

var from = time.Date(2027, 4, 14, 16, 4, 12, 0, time.UTC)

// asked is an invented question of four weeks on a band.
func asked(t testing.TB, mhz float64, there ...Station) *Question {
	t.Helper()
	here := at(t, "IO85ma", 5, partner.Horizontal)
	pattern, err := noise.NewPattern(noise.Dish{Hz: mhz * 1e6, DiameterM: 5.6, Efficiency: 0.55})
	if err != nil {
		t.Fatal(err)
	}
	l := budget.Listener{Pattern: pattern, Receiver: noise.Receiver{NoiseK: 40, LossDB: 0.1},
		Place: budget.Place{Site: here.Site, Air: here.Air, SolarFlux: math.NaN()}}
	return &Question{Here: here, There: there, Hz: mhz * 1e6, Listener: l, ColdK: l.ColdK(), SunLeft: deg(10),
		Shortest: 30 * time.Minute, ToleratedHz: 20, Steady: time.Minute, From: from, To: from.AddDate(0, 0, 28)}
}

// up says by the definition whether a minute belongs to a window.
func up(sky *ephem.Sky, q *Question, when time.Time) bool {
	for _, s := range append([]Station{q.Here}, q.There...) {
		moon, sun := sky.Look(s.Site, ephem.MoonBody(), when), sky.Look(s.Site, ephem.SunBody(), when)
		// By the law of cosines, not by the code's own separation.
		cos := moon.El.Sin()*sun.El.Sin() + moon.El.Cos()*sun.El.Cos()*math.Cos((moon.Az-sun.Az).Rad())
		if s.Air.Refracted(moon.El) < s.Min || math.Acos(cos) < q.SunLeft.Rad() {
			return false
		}
	}
	return true
}

// The windows are those that a scan by minutes finds, to a minute at each end.
func TestWindowsAgainstAScanByMinutes(t *testing.T) {
	sky, _ := skies(t)
	for name, there := range map[string][]Station{
		"one": {at(t, "FN42hn", 8, partner.Circular)},
		"two": {at(t, "FN42hn", 8, partner.Circular), at(t, "JO62qm", 5, partner.Vertical)},
		"three": {at(t, "FN42hn", 2, partner.Circular), at(t, "DM34xp", 0, partner.Vertical),
			at(t, "JO62qm", 5, partner.Vertical)},
		"none": {at(t, "RF80ab", 40, partner.Circular)},
	} {
		q := asked(t, 1296, there...)
		var want []Window
		before := false
		for when := q.From; !when.After(q.To); when = when.Add(time.Minute) {
			is := up(sky, q, when)
			switch {
			case is && !before:
				want = append(want, Window{From: when})
			case before:
				want[len(want)-1].To = when
			}
			before = is
		}
		found := map[time.Time]bool{}
		for _, w := range Spans(sky, q) {
			i := slices.IndexFunc(want, func(scan Window) bool {
				return w.From.Before(scan.To) &&
					scan.From.Before(w.To)
			})
			if i < 0 {
				t.Fatalf("%s: %v to %v is in no scan", name, w.From, w.To)
			}
			scan := want[i]
			found[scan.From] = true
			if scan.From.Sub(w.From).Abs() > time.Minute || scan.To.Sub(w.To).Abs() > time.Minute {
				t.Errorf("%s: window %v to %v, by the scan %v to %v", name, w.From, w.To, scan.From, scan.To)
			}
			if w.To.Sub(w.From) < q.Shortest {
				t.Errorf("%s: a window of %v", name, w.To.Sub(w.From))
			}
		}
		for _, scan := range want {
			if scan.To.Sub(scan.From) > q.Shortest && !found[scan.From] {
				t.Errorf("%s: %v to %v is missing", name, scan.From, scan.To)
			}
		}
		t.Logf("%s: %d windows", name, len(found))
	}
}

// With the partner at our own place the windows are our passes, and what takes the Sun away is missing from them.
func TestPartnerAtOurOwnPlace(t *testing.T) {
	sky, _ := skies(t)
	q := asked(t, 1296)
	q.There, q.SunLeft, q.Shortest = []Station{q.Here}, 0, 0
	spans, own := Spans(sky, q), passes.Of(sky, ephem.MoonBody(), q.Here.Station, q.From, q.To)
	if len(spans) != len(own) || len(own) < 27 {
		t.Fatalf("%d windows, %d passes", len(spans), len(own))
	}
	for i, p := range own {
		if w := spans[i]; !w.From.Equal(p.Rise) || !w.To.Equal(p.Set) || w.CutFrom != p.CutRise || w.CutTo != p.CutSet {
			t.Errorf("window %+v, pass %v to %v", w, p.Rise, p.Set)
		}
	}
}

// The best minute is that of a scan by minutes, whose losses are worked out here independently, term by term.
func TestBestMinuteAgainstAScan(t *testing.T) {
	sky, galaxy := skies(t)
	there := at(t, "FN42hn", 8, partner.Vertical)
	for _, mhz := range []float64{432, 1296, 5760} {
		q := asked(t, mhz, there)
		q.To = q.From.AddDate(0, 0, 4)
		for _, w := range Spans(sky, q) {
			s := Judge(sky, galaxy, q, w)
			minimum, when := math.Inf(1), w.From
			for m := w.From; m.Before(w.To); m = m.Add(time.Minute) {
				if l := lossesAt(sky, galaxy, q, m).TotalDB(); l < minimum {
					minimum, when = l, m
				}
			}
			got := s.Losses()
			if d := got.TotalDB() - minimum; d > 0.02 || d < -0.02 {
				t.Errorf("%v MHz: %.3f dB at %v, by the scan %.3f dB at %v", mhz, got.TotalDB(), s.Best, minimum, when)
			}
			want := lossesAt(sky, galaxy, q, s.Best)
			for i, pair := range [][2]float64{{got.DistanceDB, want.DistanceDB}, {got.NoiseDB, want.NoiseDB},
				{got.AirDB, want.AirDB}, {got.PolarisationDB, want.PolarisationDB}, {got.SpreadDB, want.SpreadDB}} {
				if math.Abs(pair[0]-pair[1]) > 0.005 {
					t.Errorf("%v MHz, %v: term %d is %.4f dB, by hand %.4f", mhz, s.Best, i, pair[0], pair[1])
				}
			}
		}
	}
}

// lossesAt are the terms by hand: between a horizontal feed here and a vertical one there.
func lossesAt(sky *ephem.Sky, galaxy *noise.Sky, q *Question, when time.Time) (l Losses) {
	there := &q.There[0]
	_, _, km := sky.Geocentric(ephem.MoonBody(), when)
	l.DistanceDB = 40 * math.Log10(km/363300)
	here := q.Listener
	far := here
	far.Place.Site = there.Site
	here.Place.Site = q.Here.Site
	l.NoiseDB = 10 * math.Log10(math.Max(here.SkyNoiseK(sky, galaxy, when), far.SkyNoiseK(sky, galaxy, when))/q.ColdK)
	a := sky.Look(q.Here.Site, ephem.MoonBody(), when)
	b := sky.Look(there.Site, ephem.MoonBody(), when)
	air := func(el unit.Angle) float64 { return noise.AirLossDB(q.Hz, ephem.DefaultAir().Refracted(el)) }
	l.AirDB = air(a.El) + air(b.El) - 2*noise.AirLossDB(q.Hz, deg(90))
	turn := sky.ParallacticAngle(q.Here.Site, ephem.MoonBody(), when) -
		sky.ParallacticAngle(there.Site, ephem.MoonBody(), when) +
		math.Pi/2
	share := math.Cos(turn.Rad()) * math.Cos(turn.Rad())
	if q.Hz < 3e9 {
		index, off := noise.ExpectedIndex(when)
		above := func(s ephem.Site) faraday.Electrons { return faraday.Expected(when, s.Lon, index, off) }
		up := faraday.PathOf(q.Hz, q.Here.Site.Lat, q.Here.Site.Lon, a.Az, a.El, above(q.Here.Site), when)
		down := faraday.PathOf(q.Hz, there.Site.Lat, there.Site.Lon, b.Az, b.El, above(there.Site), when)
		blur := math.Exp(-2 * math.Pow((up.Within+down.Within).Rad(), 2))
		mean := func(angle unit.Angle) float64 { return 0.5 * (1 + blur*math.Cos(2*angle.Rad())) }
		share = math.Min(mean(up.Turn+down.Turn-turn), mean(up.Turn+down.Turn+turn))
	}
	l.PolarisationDB = -10 * math.Log10(math.Max(share, 1e-3))
	// What the Doppler shift drifts while the dial stays, by two paths a minute apart.
	shift := func(seconds time.Duration) float64 {
		p := echo.PathTo(sky, there.Site, q.Here.Site, when.Add(seconds*time.Second))
		return q.Hz * (p.Up*p.Down - 1)
	}
	drift := math.Abs(shift(30) - shift(-30))
	if n := (echo.SpreadHz(sky, there.Site, q.Here.Site, q.Hz, when) + drift) / q.ToleratedHz; n > 1 {
		l.SpreadDB = 10 * math.Log10(math.Sqrt(n))
	}
	return l
}

// Windows come best first; with several partners that which loses most counts; samples lie within their window.
func TestRankAndWorst(t *testing.T) {
	sky, galaxy := skies(t)
	q := asked(t, 5760, at(t, "FN42hn", 8, partner.Vertical), at(t, "JO62qm", 5, partner.Circular))
	list := All(sky, galaxy, q)
	if len(list) < 10 {
		t.Fatalf("%d windows", len(list))
	}
	for i, s := range list {
		l := s.Losses()
		if i > 0 && l.TotalDB() < list[i-1].Losses().TotalDB() {
			t.Errorf("window %d is better than the one before", i)
		}
		for _, e := range s.Ends {
			if e.TotalDB() > l.TotalDB() || e.El < deg(4.99) {
				t.Errorf("%s loses %.2f dB at %.1f°, the window %.2f dB", e.Name, e.TotalDB(), e.El.Deg(), l.TotalDB())
			}
		}
		if s.Ends[1].PolarisationDB != faraday.LinearToCircularDB || s.SunOff < q.SunLeft-deg(0.01) ||
			s.Best.Before(s.From) || s.Best.After(s.To) {
			t.Errorf("window %+v", s)
		}
		for _, sample := range s.Samples {
			if sample.At.Before(s.From) || sample.At.After(s.To) || sample.TotalDB < l.TotalDB()-1e-9 ||
				sample.At.Truncate(SampleEvery) != sample.At {
				t.Errorf("sample %+v of a window from %v to %v", sample, s.From, s.To)
			}
		}
	}
}

// Four weeks with three partners take under 2 s.
func BenchmarkFourWeeksThreePartners(b *testing.B) {
	sky, galaxy := skies(b)
	q := asked(b, 5760, at(b, "FN42hn", 0, partner.Vertical), at(b, "JO62qm", 0, partner.Circular),
		at(b, "JN18eu", 0, partner.Horizontal))
	for b.Loop() {
		b.ReportMetric(float64(len(All(sky, galaxy, q))), "windows")
	}
}
