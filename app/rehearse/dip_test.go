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
	"beamhelm/drive/replica/plant"
)

// afternoon is a world that holds, with the Sun in the south-west.
func afternoon(t *testing.T, seed uint64, change func(*settings.Settings)) *World {
	t.Helper()
	sky, sources := skyAndSources(t)
	s := settings.Practice()
	change(&s)
	from := time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	w, err := NewWorld(s, sky, sources, Script{From: from, Seed: seed, HasBeam: true, Az: 150, El: 40})
	if err != nil {
		t.Fatal(err)
	}
	w.pass(3 * time.Second)
	return w
}

var anywhere = unit.Angle(math.NaN())

// dipped asks for a plan, begins it, and waits for the end.
func dipped(t *testing.T, w *World) *desk.DipResult {
	t.Helper()
	w.Desk.Ask(desk.SkyDip{Az: anywhere})
	w.pass(time.Second)
	plan := w.Desk.Status().Receiving.Dip.Plan
	if plan == nil || plan.Why.Code != "" || len(plan.Els) != 8 || w.Desk.Status().Receiving.Running {
		t.Fatalf("plan %+v: %v", plan, w.events)
	}
	begun := w.Now()
	w.Desk.Ask(desk.SkyDip{Az: plan.Az.Mod1(), Begin: true})
	for range 20 * 60 {
		if w.pass(time.Second); !w.Desk.Status().Receiving.Running {
			break
		}
	}
	if took := w.Now() - begun; took > 2*plan.Lasts || plan.Lasts > 2*took {
		t.Errorf("it took %v, foretold were %v", took, plan.Lasts)
	}
	res := w.Desk.Status().Receiving.Dip.Last
	if res == nil {
		t.Fatalf("no result: %s", strings.Join(w.events, "\n"))
	}
	return res
}

// What a sky dip finds is what the simulated sky and receiver are, within what it says of itself.
func TestSkyDipFindsTheAir(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		w := afternoon(t, seed, func(*settings.Settings) {})
		truth := plant.DefaultBand(1296, 1)
		truth.ReceiverK = w.receiverK(t)
		d := dipped(t, w)
		if d.Why.Code != "" {
			t.Fatalf("seed %d: %s", seed, d.Why)
		}
		t.Logf("seed %d: azimuth %.0f, opacity %.4f±%.4f dB (true %.4f), receiver %.1f±%.1f K (%.1f), spill "+
			"%.1f±%.1f K (%.1f), chi² %.2f",
			seed, d.Az.Deg(), d.OpacityDB.Value, d.OpacityDB.Error, truth.ZenithLossDB, d.ReceiverK.Value,
			d.ReceiverK.Error,
			truth.ReceiverK, d.SpillK.Value, d.SpillK.Error, 290*truth.Spill, d.ChiSquare)
		within(t, d, truth, 0.5)
		// The noise horizon rises towards the ground, and the curve follows the points.
		for i, p := range d.Points {
			if i > 0 && p.El >= d.Points[i-1].El || math.Abs(p.FitDB-p.LevelDB) > 4*p.ErrorDB+0.01 {
				t.Errorf("seed %d: point %d %+v", seed, i, p)
			}
		}
		if rise := d.Points[7].LevelDB; rise < 0.2 || rise > 1.5 {
			t.Errorf("seed %d: the lowest level is %.2f dB over the highest", seed, rise)
		}
		s := w.Desk.Status()
		if kept := w.Desk.Kept().Receiver.Dips; len(kept) != 1 || s.Moving || s.Activity != desk.Holding {
			t.Errorf("seed %d: %d kept, moving %v, activity %d", seed, len(kept), s.Moving, s.Activity)
		}
	}
}

// within fails where a figure is more than two of its errors off the truth, or its error a poor one. Receiver and spill
// are hardly parted by the points: their errors are nearly those of what is believed beforehand, which is little.
func within(t *testing.T, d *desk.DipResult, truth plant.Band, opacityShare float64) {
	t.Helper()
	for name, v := range map[string][4]float64{
		"opacity":  {d.OpacityDB.Value, d.OpacityDB.Error, truth.ZenithLossDB, opacityShare},
		"receiver": {d.ReceiverK.Value, d.ReceiverK.Error, truth.ReceiverK, 0.6},
		"spill":    {d.SpillK.Value, d.SpillK.Error, 290 * truth.Spill, 1.2},
	} {
		if math.Abs(v[0]-v[2]) > 2*v[1] || !(v[1] < v[3]*v[2]) {
			t.Errorf("%s %.4f ±%.4f, in truth %.4f", name, v[0], v[1], v[2])
		}
	}
}

// A Y factor of the ground just before sets the scale.
func TestSkyDipAfterTheGround(t *testing.T) {
	w := afternoon(t, 9, func(s *settings.Settings) { s.Horizon.Points = nil })
	w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(120), El: unit.AngleFromDeg(0.2)}})
	w.pass(2 * time.Minute)
	w.Desk.Ask(desk.Compare{})
	if y := compared(t, w); y.Why.Code != "" || y.ColdEl < 1 || !(y.WarmK > 100) {
		t.Fatalf("%+v", y)
	}
	d := dipped(t, w)
	truth := plant.DefaultBand(1296, 1)
	truth.ReceiverK = w.receiverK(t)
	if d.Why.Code != "" || !d.Warm {
		t.Fatalf("%+v", d)
	}
	t.Logf("opacity %.4f±%.4f dB, receiver %.1f±%.1f K, spill %.1f±%.1f K, chi² %.2f", d.OpacityDB.Value,
		d.OpacityDB.Error,
		d.ReceiverK.Value, d.ReceiverK.Error, d.SpillK.Value, d.SpillK.Error, d.ChiSquare)
	within(t, d, truth, 0.25)
}

// receiverK is the noise of the simulated receiver, with the loss before it.
func (w *World) receiverK(t *testing.T) float64 {
	t.Helper()
	return settings.Practice().Bands[0].ReceiverTemperature
}

// Whatever ends a sky dip leaves nothing moving, and nothing of it goes on.
func TestSkyDipEnds(t *testing.T) {
	order := func(o desk.Order) func(*World) { return func(w *World) { w.Desk.Ask(o) } }
	for name, c := range map[string]struct {
		do   func(*World)
		says string
	}{
		"Stop":       {order(desk.Stop{}), "the operator has taken over"},
		"Hold":       {order(desk.Hold{}), "the operator has taken over"},
		"the end":    {order(desk.EndJob{}), "ended by the operator"},
		"power off":  {order(desk.Power{}), "the operator has taken over"},
		"work":       {order(desk.Working{On: true}), "the operator has taken over"},
		"the band":   {order(desk.BandTo{Band: 1}), "the operator has taken over"},
		"a wind":     {func(w *World) { storm(t, w) }, "wind"},
		"a trip":     {put(t, plant.DriveStageFault), "drive"},
		"the door":   {put(t, plant.DoorOpen), "door"},
		"no level":   {put(t, plant.DetectorSilent), "no level came"},
		"a position": {order(desk.ReferenceTo{Axis: 0, Angle: 1}), "the operator has taken over"},
	} {
		for _, after := range []time.Duration{12 * time.Second, 45 * time.Second} { // on the way, and in the middle
			t.Run(name+" after "+after.String(), func(t *testing.T) {
				t.Parallel()
				w := afternoon(t, 5, func(*settings.Settings) {})
				w.Desk.Ask(desk.SkyDip{Az: anywhere, Begin: true})
				w.pass(after)
				if !w.Desk.Status().Receiving.Running {
					t.Fatalf("not begun: %v", w.events)
				}
				c.do(w)
				for range 90 {
					if w.pass(2 * time.Second); !w.Desk.Status().Receiving.Running {
						break
					}
				}
				all := strings.ToLower(strings.Join(w.events, "\n"))
				if !strings.Contains(all, "no sky dip: ") || !strings.Contains(all, c.says) {
					t.Errorf("no %q in %s", c.says, all)
				}
				w.pass(15 * time.Second)
				s := w.Desk.Status()
				if s.Receiving.Running || s.Receiving.Dip.Last != nil || s.Moving && name != "a wind" {
					t.Errorf("running %v, moving %v, result %v", s.Receiving.Running, s.Moving, s.Receiving.Dip.Last)
				}
			})
		}
	}
}

// Where a dip can't be, the plan says why, and it is not begun.
func TestSkyDipIsRefused(t *testing.T) {
	w := afternoon(t, 6, func(s *settings.Settings) { s.Horizon.Points, s.Structures = nil, nil })
	sun := w.Desk.Status().Bodies[0]
	for _, b := range w.Desk.Status().Bodies {
		if b.Kind == desk.Sun {
			sun = b
		}
	}
	for says, o := range map[string]desk.Order{
		"the Sun or the Moon is too near": desk.SkyDip{Az: sun.Az, Begin: true},
	} {
		w.Desk.Ask(o)
		w.pass(time.Second)
		s := w.Desk.Status()
		if s.Receiving.Running || s.Receiving.Dip.Plan == nil || s.Receiving.Dip.Plan.Why.String() != says {
			t.Errorf("%q: running %v, plan %+v", says, s.Receiving.Running, s.Receiving.Dip.Plan)
		}
	}
	w.Desk.Ask(desk.SkyDip{Az: anywhere})
	w.pass(time.Second)
	plan := w.Desk.Status().Receiving.Dip.Plan
	if plan.Why.Code != "" || math.Abs(math.Remainder((plan.Az-sun.Az).Deg(), 360)) < 20 {
		t.Errorf("plan %+v with the Sun at %.0f°", plan, sun.Az.Deg())
	}
	// A mountain all around leaves no elevations low enough.
	walled := afternoon(t, 6, func(s *settings.Settings) {
		s.Horizon.Points = []settings.Point{{AzDeg: 0, ElDeg: 25}, {AzDeg: 180, ElDeg: 25}}
	})
	walled.Desk.Ask(desk.SkyDip{Az: anywhere, Begin: true})
	walled.pass(time.Second)
	if s := walled.Desk.Status(); s.Receiving.Running || s.Receiving.Dip.Plan.Why.Code == "" {
		t.Errorf("begun behind a mountain: %+v", s.Receiving.Dip.Plan)
	}
}
