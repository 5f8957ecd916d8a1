package echo

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/noise"
)

func galaxy(t testing.TB) *noise.Sky {
	t.Helper()
	text, err := os.ReadFile("../../assets/sky408/ecliptic.csv")
	if err != nil {
		t.Fatal(err)
	}
	g, err := noise.ParseSky(text)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// The rule holds for made-up reports.
func TestWorthRule(t *testing.T) {
	q := Question{Hz: 1296e6}
	receiver := noise.Receiver{Hz: 1296e6, HalfPower: deg(2.9), NoiseK: 40, Spill: 0.05}
	limits := Limits{Least: deg(5), SunLeft: deg(5)}
	cold := Report{MoonEl: deg(coldEl), SunOff: deg(90), MoonSkyK: noise.Scaled(coldestK, 1296e6)}
	near(t, "perigee under the cold sky", WorthOf(cold, q, receiver, limits).Merit, 1, 1e-9)
	far := cold
	far.Own.AbovePerigeeDB = 1.9
	near(t, "apogee", WorthOf(far, q, receiver, limits).Merit, 1-1.9/6, 1e-9)
	hot := cold
	hot.MoonSkyK = 30
	w := WorthOf(hot, q, receiver, limits)
	near(t, "the Galaxy behind", w.Merit, 1-w.NoiseDB/6, 1e-9)
	if w.NoiseDB < 1 || w.NoiseDB > 2 {
		t.Errorf("25 K more give %.2f dB", w.NoiseDB)
	}
	low, near5 := cold, cold
	low.MoonEl, near5.SunOff = deg(4), deg(4)
	if w := WorthOf(low, q, receiver, limits); w.Merit != 0 || !w.TooLow {
		t.Errorf("too low: %+v", w)
	}
	if w := WorthOf(near5, q, receiver, limits); w.Merit != 0 || !w.SunTooNear {
		t.Errorf("the Sun too near: %+v", w)
	}
	pair := q
	pair.HasPartner = true
	if w := WorthOf(cold, pair, receiver, limits); !w.TooLow {
		t.Errorf("too low there: %+v", w)
	}
}

func TestMeritAtIsTheReportsMerit(t *testing.T) {
	s, g := sky(t), galaxy(t)
	q := Question{Here: coldHarbour, Air: ephem.DefaultAir(), Hz: 1296e6, HalfPower: deg(2.9), There: boston, HasPartner: true}
	receiver := noise.Receiver{Hz: 1296e6, HalfPower: deg(2.9), NoiseK: 40, Spill: 0.05}
	limits := Limits{Least: deg(2), SunLeft: deg(6)}
	var up int
	for at := time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC); at.Month() == 4; at = at.Add(83 * time.Minute) {
		merit := MeritAt(s, g, q, receiver, limits, at)
		r := ReportAt(s, g, q, at)
		near(t, "merit", merit, WorthOf(r, q, receiver, limits).Merit, 1e-3)
		if merit > 0 {
			up++
		}
	}
	if up < 100 {
		t.Errorf("worth something at %d instants", up)
	}
}

func TestReport(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	q := Question{Here: coldHarbour, Air: ephem.DefaultAir(), Hz: 1296e6}
	r := ReportAt(s, galaxy(t), q, at)
	if r.PartnerEl != 0 || r.Mutual != (Signal{}) || r.Polarisation != 0 {
		t.Errorf("figures of a partner that there isn't: %+v", r)
	}
	if r.SunOff.Deg() < 80 || r.SunOff.Deg() > 110 || r.MoonSkyK < noise.BackgroundK || r.MoonSkyK > 10 {
		t.Errorf("Sun %.1f degrees off, sky %.2f K", r.SunOff.Deg(), r.MoonSkyK)
	}
	q.There, q.HasPartner = boston, true
	both := ReportAt(s, galaxy(t), q, at)
	near(t, "mutual loss", both.Mutual.LossDB, both.Own.LossDB, 0.4)
	near(t, "mutual delay", both.Mutual.DelayS, both.Own.DelayS, 0.05)
}

func TestSummary(t *testing.T) {
	r := Report{SunOff: deg(4), Polarisation: deg(45)}
	r.Own.SpreadHz, r.Mutual.SpreadHz = 18.4, 22.6
	for word, w := range map[string]Worth{
		"excellent: path +0.6 dB, noise +0.2 dB, spread 18 Hz":             {Merit: 0.9, PathDB: 0.6, NoiseDB: 0.2},
		"good: path +0.6 dB, noise +0.0 dB, spread 18 Hz":                  {Merit: 0.65, PathDB: 0.6},
		"fair: path +0.0 dB, noise +0.0 dB, spread 18 Hz":                  {Merit: 0.4},
		"poor: path +0.0 dB, noise +0.0 dB, spread 18 Hz":                  {Merit: 0},
		"the Moon is too low: path +0.0 dB, noise +0.0 dB, spread 18 Hz":   {TooLow: true},
		"the Sun is 4° from the Moon: path +0.0 dB, noise +0.0 dB, spread": {SunTooNear: true},
	} {
		if got := Summary(r, Question{}, w, true); !strings.HasPrefix(got, word) {
			t.Errorf("%q, want %q", got, word)
		}
	}
	if got := Summary(r, Question{HasPartner: true}, Worth{Merit: 0.5}, true); !strings.HasSuffix(got, "spread 23 Hz, polarisation +45° costs 3.0 dB") {
		t.Errorf("with a partner: %q", got)
	}
	if math.Abs(PolarisationLossDB(deg(45))-3.01) > 0.01 {
		t.Error("45 degrees don't cost 3 dB")
	}
}
