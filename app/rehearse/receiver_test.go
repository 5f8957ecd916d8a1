package rehearse

import (
	"math"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
)

// What is found on the Sun is what the simulated receiver really is: its noise
// on the sky beside to 3 %, with what the side lobes hear of the Sun there, and G/T to 0.2 dB.
func TestYFactorFindsTheReceiver(t *testing.T) {
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.MeasureY{})
	cold := 0.0
	for range 6 * 60 * 10 {
		w.Advance()
		s := w.Desk.Status()
		if strings.HasPrefix(s.Receiving.Doing.String(), "Off ") {
			cold = w.Dish.Truth().SystemK
		}
		if !s.Receiving.Running && s.Receiving.Last != nil {
			break
		}
	}
	w.News()
	s := w.Desk.Status()
	r := s.Receiving.Last
	if r == nil || r.Why.Code != "" {
		t.Fatalf("no figures after %v: %+v %v", w.Now(), r, w.events)
	}
	f := r.Figures
	t.Logf("%v: Y %.2f±%.2f dB (expected %.2f), G/T %.2f±%.2f (expected %.2f), system %.1f±%.1f K (true %.1f, "+
		"expected %.1f), area %.2f m2 (expected %.2f); %s",
		w.Now(), f.YDB, f.YErrorDB, f.ExpectedYDB, f.GTDB, f.GTErrorDB, f.ExpectedGTDB, f.SystemK, f.SystemErrorK, cold,
		f.ExpectedSystemK, f.AreaM2, f.ExpectedAreaM2, r.Doubt)
	if math.Abs(f.SystemK/cold-1) > 0.03 {
		t.Errorf("system noise %.1f K, truth %.1f K", f.SystemK, cold)
	}
	if gt := 10 * math.Log10(math.Pow(10, (f.ExpectedGTDB+10*math.Log10(f.ExpectedSystemK))/10)/cold); math.Abs(
		f.GTDB-gt) > 0.2 {
		t.Errorf("G/T %.2f dB, truth %.2f", f.GTDB, gt)
	}
	if s.Activity != desk.Tracking || s.Trim.CrossEl != 0 || w.Moment().TrueOff > 14 || len(s.Receiving.Before) != 1 {
		t.Errorf("activity %d, trim %v, %d kept", s.Activity, s.Trim.CrossEl, len(s.Receiving.Before))
	}
	if r.Doubt.Code != "" || !strings.Contains(r.FluxOf.String(), "report of 2027-04-14") {
		t.Errorf("doubt %q, flux of %q", r.Doubt, r.FluxOf)
	}
}

func TestYFactorEnds(t *testing.T) {
	for name, c := range map[string]struct {
		act  func(*World)
		says string
	}{
		"the operator": {func(w *World) { w.Desk.Ask(desk.EndJob{}) }, "ended by the operator"},
		"Stop":         {func(w *World) { w.Desk.Ask(desk.Stop{}) }, "tracking has ended"},
		"another":      {chooseMoon, "target or band has changed"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0, 0)
			w.Desk.Ask(desk.MeasureY{})
			w.pass(25 * time.Second)
			if !w.Desk.Status().Receiving.Running {
				t.Fatalf("not begun: %v", w.events)
			}
			c.act(w)
			w.pass(3 * time.Second)
			if s := w.Desk.Status(); s.Receiving.Running || s.Receiving.Last != nil {
				t.Error("it goes on")
			}
			if all := strings.Join(w.events, "\n"); !strings.Contains(all, "no y factor measured: "+c.says) {
				t.Errorf("no %q in:\n%s", c.says, all)
			}
		})
	}
}

func TestFluxIsEnteredStrictly(t *testing.T) {
	w := evening(t, 0, 0)
	entered := func() string {
		all := w.Desk.Status().Receiving.Reports
		if len(all) == 0 {
			return ""
		}
		return all[len(all)-1].String()
	}
	w.Desk.Ask(desk.FluxTo{Words: "2027-04-14 1000 50 1415 62"})
	w.pass(time.Second)
	for _, wrong := range []string{"2027-04-14 1415 -62", "yesterday 1415 62", "1415 62"} {
		w.Desk.Ask(desk.FluxTo{Words: wrong})
		w.pass(time.Second)
		if got := entered(); got != "2027-04-14 1000 50 1415 62" {
			t.Errorf("%q leaves %q", wrong, got)
		}
	}
	if all := strings.Join(w.events, "\n"); strings.Count(all, "solar flux unchanged: ") != 3 {
		t.Errorf("events:\n%s", all)
	}
	w.Desk.Ask(desk.FluxTo{})
	w.pass(time.Second)
	if got := entered(); got != "" {
		t.Errorf("still %q", got)
	}
	// An old one must be confirmed.
	w.Desk.Ask(desk.FluxTo{Words: "2027-04-01 1415 62"})
	w.pass(31 * time.Second)
	if r := w.Desk.Status().Receiving; !r.SunOld || r.SunWhy.Code == "" {
		t.Errorf("a flux two weeks old is taken: %+v", r.Sun)
	}
	w.Desk.Ask(desk.FluxTo{Confirm: true})
	w.pass(31 * time.Second)
	if r := w.Desk.Status().Receiving; r.SunOld || r.SunWhy.Code != "" || r.Sun.Share < 0.1 {
		t.Errorf("confirmed: %q %+v", r.SunWhy, r.Sun)
	}
}
