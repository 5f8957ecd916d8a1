//go:build !race

package rehearse

import (
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/drive/replica/plant"
)

// checked lets a check run to its end.
func (w *World) checked(t *testing.T, long bool) *desk.CheckResult {
	t.Helper()
	before := w.Desk.Status().Check.Last
	w.Desk.Ask(desk.CheckDish{Long: long})
	for range 25 * 60 {
		w.pass(time.Second)
		if s := w.Desk.Status().Check; !s.Running {
			if s.Last == before || s.Last == nil {
				t.Fatalf("no result: %s", strings.Join(w.events, "\n"))
			}
			return s.Last
		}
	}
	t.Fatalf("it doesn't end: %+v, %s", w.Desk.Status().Check, strings.Join(w.events, "\n"))
	return nil
}

func line(r *desk.CheckResult, what, words string) (found []desk.CheckLine) {
	for _, l := range r.Lines {
		if strings.HasPrefix(l.What, what) && strings.Contains(l.Words.String(), words) {
			found = append(found, l)
		}
	}
	return found
}

// A check moves each axis both ways, and measures the Sun where it is up; after some
// evenings it knows what is usual, and finds ice in a bearing.
func TestCheckOfTheDish(t *testing.T) {
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.Hold{})
	w.pass(10 * time.Second)
	begun := w.now
	first := w.checked(t, false)
	if lasted := w.now - begun; lasted > 6*time.Minute {
		t.Errorf("it lasts %v", lasted)
	}
	for _, what := range []string{"Link", "Supplies and readings", "Azimuth", "Elevation", "Reference", "Cold sky",
		"Sun noise"} {
		if len(line(first, what, "")) == 0 {
			t.Errorf("nothing about %s: %+v", what, first.Lines)
		}
	}
	for _, way := range []string{"clockwise", "counter-clockwise", "up", "down"} {
		if len(line(first, "", "fast "+way)) == 0 {
			t.Errorf("nothing about %s: %+v", way, first.Lines)
		}
	}
	if first.Grade >= desk.Warning || first.Verdict.String() != "No fault found" ||
		len(line(first, "Sun noise", "dB over cold sky")) != 1 {
		t.Errorf("the first: %+v", first)
	}
	if s := w.Desk.Status(); s.Activity != desk.Holding || s.Target.Choice.Kind != desk.Sun {
		t.Errorf("afterwards: %v, %v", s.Activity, s.Target.Name)
	}
	park := unit.AngleFromDeg(30)
	slew := func(times int) { // up and down, as on many evenings
		for range times {
			for _, el := range [...]float64{52, 30} {
				w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(200), El: unit.AngleFromDeg(el)}})
				w.pass(40 * time.Second)
			}
		}
	}
	slew(8)
	if r := w.checked(t, false); r.Grade >= desk.Warning || len(line(r, "Elevation", "baseline")) == 0 {
		t.Fatalf("after some: %+v", r)
	}
	if err := w.Dish.Put(plant.Fault{Kind: plant.Ice, Axis: 1, Values: [2]float64{900}}); err != nil {
		t.Fatal(err)
	}
	w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(200), El: park}})
	w.pass(90 * time.Second)
	r := w.checked(t, false)
	if r.Grade != desk.Warning || !strings.Contains(r.Verdict.String(), "Elevation") ||
		!strings.Contains(r.Verdict.String(), "baseline") {
		t.Errorf("with ice: %+v", r)
	}
	slew(4) // and it is told without a check, as slow trouble
	told := ""
	for _, a := range w.Desk.Status().Alarms {
		if strings.HasPrefix(a.Words.String(), "Elevation motor current") {
			told = a.Words.String()
		}
	}
	if !strings.Contains(told, "baseline") || !strings.Contains(told, "since") {
		t.Errorf("not told: %q, %+v", told, w.Desk.Status().Alarms)
	}
	if u := w.Desk.Status().Check.Unusual; len(u) > 0 {
		for _, one := range u {
			w.Desk.Ask(desk.NowUsual{Key: one.Key})
		}
		w.pass(2 * time.Second)
		if left := w.Desk.Status().Check.Unusual; len(left) > 0 {
			t.Errorf("still unusual: %+v", left)
		}
	}
}

// What ends a check leaves nothing moving that it began, and no result.
func TestCheckEnds(t *testing.T) {
	for name, c := range map[string]struct {
		do   func(w *World)
		says string
	}{
		"Stop": {func(w *World) { w.Desk.Ask(desk.Stop{}) }, "the operator has taken over"},
		"a slew": {func(w *World) { w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: 3, El: 0.7}}) },
			"the operator has taken over"},
		"end it":   {func(w *World) { w.Desk.Ask(desk.EndJob{}) }, "ended by the operator"},
		"a trip":   {func(w *World) { put(t, plant.DriveStageFault)(w) }, "locked out"},
		"the door": {func(w *World) { put(t, plant.DoorOpen)(w) }, "door"},
		"a storm":  {func(w *World) { storm(t, w) }, "wind"},
		"no link":  {func(w *World) { w.Line.Unplug() }, "answer"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0, 0)
			w.Desk.Ask(desk.Hold{})
			w.pass(10 * time.Second)
			w.Desk.Ask(desk.CheckDish{})
			w.pass(6 * time.Second)
			if !w.Desk.Status().Check.Running {
				t.Fatalf("not begun: %v", w.events)
			}
			c.do(w)
			for range 300 {
				if w.pass(time.Second); !w.Desk.Status().Check.Running {
					break
				}
			}
			w.pass(2 * time.Second)
			said := strings.Join(w.events, "\n")
			at := strings.Index(said, "check ended: ")
			if s := w.Desk.Status(); s.Check.Running || s.Check.Last != nil || at < 0 ||
				!strings.Contains(said[at:], c.says) {
				t.Errorf("%+v: %s", s.Check, said)
			}
		})
	}
}

// The long form goes farther, and is as good.
func TestLongCheck(t *testing.T) {
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.Hold{})
	w.pass(10 * time.Second)
	r := w.checked(t, true)
	if !r.Long || len(line(r, "Elevation", "fast up")) < 3 {
		t.Errorf("%+v", r)
	}
}

// Whoever takes over on the way to the Sun has the target of before again, and
// an order that doesn't say what the dish does leaves it holding.
func TestCheckGivesTheTargetBack(t *testing.T) {
	for name, o := range map[string]desk.Order{"hold": desk.Hold{}, "power": desk.Power{On: true}} {
		w := evening(t, 0, 0)
		w.Desk.Ask(desk.Hold{})
		w.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}})
		w.pass(10 * time.Second)
		w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(120), El: unit.AngleFromDeg(40)}})
		w.pass(90 * time.Second)
		w.Desk.Ask(desk.CheckDish{})
		for range 240 {
			if w.pass(time.Second); strings.Contains(w.Desk.Status().Check.Doing.String(), "to the Sun") {
				break
			}
		}
		if s := w.Desk.Status(); s.Target.Choice.Kind != desk.Sun || !s.Check.Running {
			t.Fatalf("%s: not on the way: %+v, %v", name, s.Check, w.events)
		}
		w.Desk.Ask(o)
		w.pass(20 * time.Second)
		if s := w.Desk.Status(); s.Check.Running || s.Target.Choice.Kind != desk.Moon || s.Activity != desk.Holding {
			t.Errorf("%s: %v, %v, %+v", name, s.Target.Name, s.Activity, s.Check)
		}
	}
}
