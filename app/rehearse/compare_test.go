//go:build !race

package rehearse

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
)

// compared waits for the end of a comparison.
func compared(t *testing.T, w *World) *desk.ReceiverResult {
	t.Helper()
	return comparedWatching(t, w, func() {})
}

// comparedWatching does so and looks once a second.
func comparedWatching(t *testing.T, w *World, look func()) *desk.ReceiverResult {
	t.Helper()
	before := w.Desk.Status().Receiving.Last
	for range 15 * 60 {
		w.pass(time.Second)
		look()
		if !w.Desk.Status().Receiving.Running {
			break
		}
	}
	last := w.Desk.Status().Receiving.Last
	if last == nil || last == before {
		t.Fatalf("no result: %s", strings.Join(w.events, "\n"))
	}
	return last
}

// The noise source is switched on and off by turns and left as it was; with
// its excess known it tells the system noise.
func TestYOfTheNoiseSource(t *testing.T) {
	for _, known := range []float64{0, 60} {
		w := eveningWith(t, 0, 0, func(s settings.Settings) settings.Settings {
			s.Bands[0].Feeds[0].NoiseSourceK = known
			return s
		})
		w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(120), El: unit.AngleFromDeg(60)}})
		w.pass(2 * time.Minute)
		w.Desk.Ask(desk.Compare{NoiseSource: true})
		w.pass(time.Second)
		if !w.Desk.Status().NoiseSource {
			t.Fatalf("the source is not on: %s", strings.Join(w.events, "\n"))
		}
		res := compared(t, w)
		if res.Why.Code != "" || !(res.Figures.YDB > 0.5) || w.Desk.Status().NoiseSource {
			t.Fatalf("%+v, source on: %v", res, w.Desk.Status().NoiseSource)
		}
		// The simulated source adds 60 K; it is still heard in the truth of the last stop, or not.
		truth := w.Dish.Truth().SystemK
		if known == 0 {
			if res.Figures.SystemK != 0 {
				t.Errorf("system noise %v K without a known excess", res.Figures.SystemK)
			}
			continue
		}
		if math.Abs(truth-60-res.Figures.SystemK) > 2 && math.Abs(truth-res.Figures.SystemK) > 2 {
			t.Errorf("Y %.2f dB, system noise %.1f K, in truth %.1f K", res.Figures.YDB, res.Figures.SystemK, truth)
		}
	}
}

// From the ground the dish goes up to cold sky and back by turns, and ends where it held.
func TestYOfTheGround(t *testing.T) {
	// The simulated dish stands on a plain.
	w := eveningWith(t, 0, 0, func(s settings.Settings) settings.Settings {
		s.Horizon.Points = nil
		return s
	})
	w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(120), El: unit.AngleFromDeg(0.2)}})
	w.pass(2 * time.Minute)
	w.Desk.Ask(desk.Compare{})
	cold := math.Inf(1)
	res := comparedWatching(t, w, func() { cold = min(cold, w.Dish.Truth().SystemK) })
	truth := w.Dish.Truth()
	if res.Why.Code != "" || res.Figures.SystemK <= 0 || math.Abs(truth.Axis[1].Deg()-0.2) > 0.3 {
		t.Fatalf("%+v, elevation %.2f: %s", res, truth.Axis[1].Deg(), strings.Join(w.events, "\n"))
	}
	// How much ground the simulated dish sees is none of the panel's business: its own patterns differ. The error says
	// so.
	f := res.Figures
	t.Logf("Y %.2f of %.2f dB, system %.1f±%.1f of %.1f K, in truth %.1f K", f.YDB, f.ExpectedYDB, f.SystemK,
		f.SystemErrorK, f.ExpectedSystemK, cold)
	if off := math.Abs(f.SystemK - cold); off > 2*f.SystemErrorK || f.SystemErrorK > 0.25*f.SystemK {
		t.Errorf("system noise off by %.1f K, said to be good to %.1f K", off, f.SystemErrorK)
	}
	if kept := w.Desk.Kept().Receiver.Results; len(kept) != 1 || kept[0].Target != "the ground" {
		t.Errorf("kept %+v", kept)
	}
}

// Whatever ends a comparison leaves the source as it was, and says why.
func TestComparisonsEnd(t *testing.T) {
	for name, c := range map[string]struct {
		source bool
		do     desk.Order
		says   string
	}{
		"Stop":          {false, desk.Stop{}, "the operator has taken over"},
		"a jog":         {false, desk.Jog{El: 1}, "the operator has taken over"},
		"end it":        {true, desk.EndJob{}, "ended by the operator"},
		"the band":      {true, desk.BandTo{Band: 1}, "the operator has taken over"},
		"the amplifier": {true, desk.Preamplifier{}, "the operator has taken over"},
	} {
		w := evening(t, 0, 0)
		el := 0.2
		w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(120), El: unit.AngleFromDeg(el)}})
		w.pass(2 * time.Minute)
		w.Desk.Ask(desk.Compare{NoiseSource: c.source})
		w.pass(14 * time.Second)
		w.Desk.Ask(c.do)
		w.pass(10 * time.Second)
		s := w.Desk.Status()
		if all := strings.Join(w.events, "\n"); s.Receiving.Running || s.NoiseSource || s.Receiving.Last != nil ||
			!strings.Contains(all, c.says) {
			t.Errorf("%s: running %v, source %v: %s", name, s.Receiving.Running, s.NoiseSource, all)
		}
	}
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.Hold{})
	w.pass(15 * time.Second)
	w.Desk.Ask(desk.Compare{})
	w.pass(time.Second)
	if all := strings.Join(w.events, "\n"); w.Desk.Status().Receiving.Running ||
		!strings.Contains(all, "the beam looks at the sky") {
		t.Errorf("the sky is taken for the ground: %s", all)
	}
}
