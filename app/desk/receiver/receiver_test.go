package receiver

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/ephem/noise"
)

// turns are stops on and beside a source with an even drift of gain.
func turns(y, driftPerStop float64, scatter float64, chance *rand.Rand) []Stop {
	var stops []Stop
	for i := range 7 {
		power := math.Pow(1+driftPerStop, float64(i))
		if i%2 == 0 {
			power *= y
		}
		const n = 60
		power *= 1 + scatter/math.Sqrt(n)*chance.NormFloat64()
		stops = append(stops, Stop{On: i%2 == 0, Power: power, Scatter: scatter * power, N: n})
	}
	return stops
}

// Over many runs the true Y factor lies within the error told as often as it should,
// and an even drift of half a per cent a stop does no harm.
func TestYFactorAndItsError(t *testing.T) {
	for _, drift := range []float64{0, 0.005, -0.005} {
		chance := rand.New(rand.NewPCG(5, uint64(1000*(1+drift))))
		const runs, truth = 400, 1.09
		within, mean := 0, 0.0
		for range runs {
			y, sigma, err := YFactor(turns(truth, drift, 0.01, chance))
			if err != nil {
				t.Fatal(err)
			}
			mean += y / runs
			if math.Abs(y-truth) <= 2*sigma {
				within++
			}
		}
		if math.Abs(mean-truth) > 3e-4 {
			t.Errorf("drift %v: mean %.5f, want %.5f", drift, mean, truth)
		}
		// Two standard deviations hold 95 of 100; of three ratios their scatter tells a little less.
		if part := float64(within) / runs; part < 0.85 {
			t.Errorf("drift %v: only %.2f lie within twice the error", drift, part)
		}
	}
}

func TestYFactorRefuses(t *testing.T) {
	good := turns(2, 0, 0.01, rand.New(rand.NewPCG(1, 1)))
	even := append([]Stop(nil), good[:6]...)
	swapped := append([]Stop(nil), good...)
	swapped[0].On = false
	empty := append([]Stop(nil), good...)
	empty[2].N = 0
	not := append([]Stop(nil), good...)
	not[3].Power = math.NaN()
	for name, stops := range map[string][]Stop{"none": nil, "even": even, "swapped": swapped, "empty": empty,
		"not a number": not} {
		if _, _, err := YFactor(stops); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

func question() Question {
	return Question{Hz: 1296e6, Flux: 106e-22, FluxShare: 0.05, HalfPower: unit.AngleFromDeg(2.7),
		El: unit.AngleFromDeg(45), GainDB: 36, SystemK: 60}
}

// A published worked case of Sun noise: 1296 MHz, G/T 12.22 dB/K, 106 solar flux units give 14.49 dB;
// 14.51 by the same formula here. With the air's loss left in it is a little less.
func TestPublishedSunNoise(t *testing.T) {
	q := question()
	q.Disc = unit.AngleFromDeg(0.01)
	lost := noise.AirLossDB(q.Hz, q.El)
	q.Flux *= math.Pow(10, lost/10)
	f, err := Judge(math.Pow(10, 1.449), 1e-4, q)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.GTDB-12.22) > 0.03 {
		t.Errorf("G/T %.3f dB, want 12.22", f.GTDB)
	}
}

// Put in, taken out again: what is expected, measured exactly, gives back the gain and the noise.
func TestExpectedAndMeasuredAgree(t *testing.T) {
	q := question()
	q.Disc = unit.AngleFromDeg(0.53)
	e := Expected(q)
	f, err := Judge(math.Pow(10, e.ExpectedYDB/10), 1e-6, q)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.SystemK-60) > 1e-6 || math.Abs(f.AreaM2-e.ExpectedAreaM2) > 1e-9 ||
		math.Abs(f.GTDB-e.ExpectedGTDB) > 1e-9 {
		t.Errorf("%+v of %+v", f, e)
	}
}

// The errors told are those that a Monte Carlo of Y and flux finds.
func TestErrorsByMonteCarlo(t *testing.T) {
	q := question()
	chance := rand.New(rand.NewPCG(2, 2))
	const y, sigma, runs = 3.0, 0.06, 20000
	told, err := Judge(y, sigma, q)
	if err != nil {
		t.Fatal(err)
	}
	var sum, squares float64
	for range runs {
		other := q
		other.Flux *= 1 + q.FluxShare*chance.NormFloat64()
		f, err := Judge(y+sigma*chance.NormFloat64(), sigma, other)
		if err != nil {
			t.Fatal(err)
		}
		sum += f.SystemK
		squares += f.SystemK * f.SystemK
	}
	found := math.Sqrt(squares/runs - sum/runs*sum/runs)
	if math.Abs(found/told.SystemErrorK-1) > 0.06 {
		t.Errorf("error %.2f K told, %.2f K found", told.SystemErrorK, found)
	}
}

func TestJudgeRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		y, sigma, flux float64
		want           message.Code
	}{
		"no flux":       {2, 0.01, 0, "receiver.no-flux"},
		"negative flux": {2, 0.01, -5e-22, "receiver.no-flux"},
		"nothing":       {1.001, 0.01, 1e-20, "receiver.faint"},
		"not a number":  {math.NaN(), 0.01, 1e-20, "receiver.faint"},
	} {
		q := question()
		q.Flux = c.flux
		if _, err := Judge(c.y, c.sigma, q); message.OfError(err).Code != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestReports(t *testing.T) {
	day := time.Date(2027, 4, 14, 15, 0, 0, 0, time.UTC)
	r, err := ParseReport(" 2027-04-14  1415 62, 2695 84 ")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := ParseReport(r.String()); err != nil || again.String() != r.String() {
		t.Errorf("%q: %v", r.String(), err)
	}
	all := Reports(nil).With(r)
	f, err := all.Flux(1415e6, day, time.Time{})
	if err != nil || math.Abs(f.Flux-62e-22) > 1e-30 || f.Share != 0.05 || f.Doubt.Code != "" {
		t.Errorf("%+v %v", f, err)
	}
	// Both bands of the demonstration have a flux by these two frequencies.
	for _, hz := range []float64{1296e6, 5760e6} {
		if f, err := all.Flux(hz, day, time.Time{}); err != nil || f.Share < 0.05 || f.Share > 0.25 {
			t.Errorf("%v Hz: %+v %v", hz, f, err)
		}
	}
	if f, _ := all.Flux(2000e6, day.AddDate(0, 0, 1), time.Time{}); f.Doubt.Code != "flux.other-day" ||
		f.Doubt.Args[0] != r.Day || f.Share <= 0.05 {
		t.Errorf("the day after: %+v", f)
	}
	for _, wrong := range []string{"", "2027-04-14", "today 1415 62", "2027-04-14 1415", "2027-04-14 1415 -62",
		"2027-04-14 1415 NaN", "2027-04-14 2695 84 1415 62", "2027-04-14 x 62", "2027-04-14 1415 1e9"} {
		if r, err := ParseReport(wrong); err == nil {
			t.Errorf("%q is read as %v", wrong, r)
		}
	}
}

// A flux ages: its error grows, past two days it must be confirmed, and that holds for a day.
func TestFluxAges(t *testing.T) {
	day := time.Date(2027, 4, 14, 12, 0, 0, 0, time.UTC)
	r, _ := ParseReport("2027-04-14 1415 62 2695 84")
	all, before := Reports(nil).With(r), 0.0
	for days := range 3 {
		f, err := all.Flux(2304e6, day.AddDate(0, 0, days), time.Time{})
		if err != nil || f.Share <= before {
			t.Errorf("%d days old: %+v after %.3f, %v", days, f, before, err)
		}
		before = f.Share
	}
	year := day.AddDate(1, 0, 0)
	if _, err := all.Flux(2304e6, year, time.Time{}); message.OfError(err).Code != Old {
		t.Errorf("a year old: %v", err)
	}
	if f, err := all.Flux(2304e6, year, year.Add(-time.Hour)); err != nil || f.Share < 0.15 || f.Doubt.Code == "" {
		t.Errorf("a year old and confirmed: %+v %v", f, err)
	}
	if _, err := all.Flux(2304e6, year, year.Add(-25*time.Hour)); message.OfError(err).Code != Old {
		t.Errorf("confirmed the day before: %v", err)
	}
	if f, err := Reports(nil).Flux(1296e6, day, time.Time{}); err != nil || f.Share < 0.15 || f.Doubt.Code == "" {
		t.Errorf("none entered: %+v %v", f, err)
	}
	if _, err := Reports(nil).Flux(144e6, day, time.Time{}); err == nil {
		t.Error("a flux at 144 MHz")
	}
}

// One report a day, oldest first, the nearest counts.
func TestReportsAreKeptByTheDay(t *testing.T) {
	var all Reports
	for _, words := range []string{"2027-04-14 1415 62", "2027-04-10 1415 50", "2027-04-14 1415 70"} {
		r, err := ParseReport(words)
		if err != nil {
			t.Fatal(err)
		}
		all = all.With(r)
	}
	if len(all) != 2 || all[0].Points[0].SFU != 50 || all[1].Points[0].SFU != 70 {
		t.Errorf("%v", all)
	}
	f, _ := all.Flux(1415e6, time.Date(2027, 4, 11, 0, 0, 0, 0, time.UTC), time.Time{})
	if math.Abs(f.Flux-50e-22) > 1e-30 {
		t.Errorf("%+v", f)
	}
}

func FuzzParseReport(f *testing.F) {
	f.Add("2027-04-14 1415 62 2695 84")
	f.Fuzz(func(t *testing.T, words string) {
		r, err := ParseReport(words)
		if err != nil {
			return
		}
		if again, err := ParseReport(r.String()); err != nil || again.String() != r.String() {
			t.Errorf("%q: %v", words, err)
		}
	})
}
