package step_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// A start of any kind, asked for or not, is refused while the door is open,
// somebody works at the dish, the stop circuit is open or the hand panel has
// control; and nothing is driven.
func TestStartsAreRefused(t *testing.T) {
	starts := map[string]func(r *rig.Rig){
		"power": func(r *rig.Rig) { r.Tick(step.Power{On: true, Asked: true}) },
		"slew":  func(r *rig.Rig) { r.Tick(rig.SlewTo(120, 50)) },
		"slew, unasked": func(r *rig.Rig) {
			r.Tick(
				step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(120), El: step.Keep()}})
		},
		"jog": func(r *rig.Rig) { r.Tick(step.Jog{AzSpeed: 1, ElSpeed: 1, Asked: true}) },
		"push": func(r *rig.Rig) {
			r.Tick(
				step.Push{AzDrive: 1, ElDrive: 1, Asked: true})
		},
		"nudge": func(r *rig.Rig) {
			by := mount.AxisAngles{Az: unit.AngleFromDeg(1), El: unit.AngleFromDeg(1)}
			r.Tick(step.SetpointBy{By: by, Asked: true})
		},
		"follow": func(r *rig.Rig) {
			r.Follow(110, 42, 0.01, 0.01)
			r.Tick(step.Follow{Asked: true})
		},
		"follow, unasked": func(r *rig.Rig) {
			r.Follow(110, 42, 0.01, 0.01)
			r.Tick(step.Follow{})
		},
	}
	causes := map[string]struct {
		code guard.Code
		set  func(r *rig.Rig)
	}{
		"door":         {guard.DoorOpen, func(r *rig.Rig) { r.Enclosure.Door = true }},
		"working":      {guard.WorkingAtDish, func(r *rig.Rig) { r.Tick(step.Working{On: true}) }},
		"stop circuit": {guard.StopCircuit, func(r *rig.Rig) { r.Enclosure.StopOpen = true }},
		"hand panel":   {guard.HandPanel, func(r *rig.Rig) { r.Enclosure.HandPanel = true }},
	}
	for why, cause := range causes {
		for what, start := range starts {
			for _, powered := range []bool{false, true} {
				if powered && (what == "power" || cause.code == guard.StopCircuit || cause.code == guard.HandPanel ||
					cause.code == guard.WorkingAtDish) {
					continue // with these power goes off by itself
				}
				r := rig.New(100, 40)
				if powered && !r.PowerOn() {
					t.Fatal("no power")
				}
				cause.set(r)
				r.Run(time.Second)
				told := len(r.Told)
				start(r)
				r.AfterTick = func(r *rig.Rig) {
					if d := r.Out.Demand; d.Az != 0 || d.El != 0 {
						t.Fatalf("%s, %s, power %v: demand %d %d", why, what, powered, d.Az, d.El)
					}
				}
				r.Run(8 * time.Second) // beyond the motion warning
				refused := false
				for _, e := range r.Told[told:] {
					refused = refused || e.Kind == step.RefusedBy && e.Code == cause.code
				}
				if !refused {
					t.Errorf("%s, %s, power %v: not refused by it: %v", why, what, powered, r.Told[told:])
				}
			}
		}
	}
}

// Drive power comes on by a press, or where it was announced and could be cancelled, and never else.
func TestPowerComesOnAskedOrAnnounced(t *testing.T) {
	for name, row := range map[string]struct {
		command step.Command
		on      bool
	}{
		"asked":     {step.Power{On: true, Asked: true}, true},
		"announced": {step.Power{On: true, Announced: true}, true},
		"unasked":   {step.Power{On: true}, false},
	} {
		r := rig.New(100, 40)
		r.Run(time.Second)
		r.Tick(row.command)
		r.Run(5 * time.Second)
		if on := r.State.Power == step.PowerOn; on != row.on || r.Enclosure.Powered != row.on {
			t.Errorf("%s: power %v, at the enclosure %v", name, r.State.Power, r.Enclosure.Powered)
		}
	}
}

// Release waits until the counts stand: pressed before, it does nothing and says so.
func TestReleaseWaitsForStandstill(t *testing.T) {
	r := rig.New(0, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(rig.SlewTo(90, 40))
	r.Run(5 * time.Second)
	r.Tick(step.Stop{})
	for stop := r.Inputs.Now; r.State.Stop == step.StopAsked; {
		if r.Inputs.Now-stop > 10*time.Second {
			t.Fatal("no standstill")
		}
		told := len(r.Told)
		r.Tick(step.Release{})
		if !r.State.Lock.Locked {
			t.Fatalf("released after %v with the dish at %v radians a second", r.Inputs.Now-stop,
				r.Enclosure.Axes[0].Speed)
		}
		if !slices.ContainsFunc(r.Told[told:], func(e step.Event) bool { return e.Kind == step.RefusedMoving }) {
			t.Fatalf("told %v", r.Told[told:])
		}
	}
	if r.Tick(step.Release{}); r.State.Lock.Locked || r.State.Mode != step.Holding {
		t.Errorf("at rest, Release leaves %v, %+v", r.State.Mode, r.State.Lock)
	}
}

// An order whose angle or drive is no number, or beyond all bounds, is refused whole.
func TestFiguresOutOfBoundsAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	angles := func(v float64) mount.AxisAngles {
		return mount.AxisAngles{Az: unit.Angle(v), El: unit.AngleFromDeg(40)}
	}
	orders := []step.Command{
		step.Slew{To: angles(inf), Asked: true}, step.Slew{To: angles(-inf), Asked: true},
		step.Slew{To: angles(101), Asked: true}, step.Setpoint{To: angles(inf), Asked: true},
		step.SetpointBy{By: angles(inf), Asked: true}, step.SetpointBy{By: angles(-inf), Asked: true},
		step.SetpointBy{By: angles(1e300), Asked: true}, step.Reference{Angle: unit.Angle(inf)},
		step.Reference{Angle: unit.Angle(nan)},
		step.ToleranceTo{Axes: angles(inf)}, step.ToleranceTo{Axes: angles(nan)},
		step.ToleranceTo{OffLimit: unit.Angle(nan)}, step.Quiet{On: true, Axes: angles(nan)},
		step.FeedTo{Angle: unit.Angle(inf)}, step.FeedTo{Angle: unit.Angle(nan)},
		step.Jog{AzSpeed: nan, Asked: true}, step.Jog{AzSpeed: -inf, ElSpeed: inf, Asked: true},
		step.Push{ElDrive: inf, Asked: true}, step.Reference{Axis: 2}, step.Distrust{Axis: -1},
		step.TrustOffered{Axis: 2},
	}
	for _, m := range orders {
		r := rig.New(100, 40)
		if !r.PowerOn() || !r.Until(2*time.Second, func() bool { return r.State.Mode == step.Holding }) {
			t.Fatal("no power")
		}
		before, told := r.State, len(r.Told)
		r.Tick(m)
		if !slices.ContainsFunc(r.Told[told:], func(e step.Event) bool { return e.Kind == step.NoSuchNumber }) {
			t.Errorf("%+v: told %v", m, r.Told[told:])
		}
		r.AfterTick = func(r *rig.Rig) {
			if d := r.Out.Demand; d.Az != 0 || d.El != 0 {
				t.Fatalf("%+v: demand %d %d", m, d.Az, d.El)
			}
		}
		r.Run(3 * time.Second)
		after := r.State
		for i := range after.Axes {
			a, b := &after.Axes[i], &before.Axes[i]
			if a.Setpoint != b.Setpoint || a.Reference.Zero != b.Reference.Zero || a.Tolerance != b.Tolerance ||
				a.Trusted != b.Trusted {
				t.Errorf("%+v: axis %d changed", m, i)
			}
		}
		if after.OffLimit != before.OffLimit || after.Slow.Wanted != before.Slow.Wanted || after.Mode != before.Mode {
			t.Errorf("%+v: mode %v, limit %v, slow orders %+v", m, after.Mode, after.OffLimit, after.Slow.Wanted)
		}
	}
}
