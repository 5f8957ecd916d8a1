package step_test

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// A start of any kind, asked for or not, is refused while the door is open,
// somebody works at the dish, the stop circuit is open or the hand panel has
// control; and nothing is driven.
func TestStartsAreRefused(t *testing.T) {
	starts := map[string]func(r *rig.Rig){
		"power":         func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Power, On: true, Asked: true}) },
		"slew":          func(r *rig.Rig) { r.Tick(rig.SlewTo(120, 50)) },
		"slew, unasked": func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Slew, Az: unit.AngleFromDeg(120), El: step.Keep()}) },
		"jog":           func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Jog, AzDrive: 1, ElDrive: 1, Asked: true}) },
		"push":          func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Push, AzDrive: 1, ElDrive: 1, Asked: true}) },
		"nudge": func(r *rig.Rig) {
			r.Tick(step.Command{Kind: step.WantBy, Az: unit.AngleFromDeg(1), El: unit.AngleFromDeg(1), Asked: true})
		},
		"follow": func(r *rig.Rig) {
			r.Follow(110, 42, 0.01, 0.01)
			r.Tick(step.Command{Kind: step.Follow, Asked: true})
		},
		"follow, unasked": func(r *rig.Rig) {
			r.Follow(110, 42, 0.01, 0.01)
			r.Tick(step.Command{Kind: step.Follow})
		},
	}
	causes := map[string]struct {
		code guard.Code
		set  func(r *rig.Rig)
	}{
		"door":         {guard.DoorOpen, func(r *rig.Rig) { r.Box.Door = true }},
		"working":      {guard.WorkingAtDish, func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Working, On: true}) }},
		"stop circuit": {guard.StopCircuit, func(r *rig.Rig) { r.Box.StopOpen = true }},
		"hand panel":   {guard.HandPanel, func(r *rig.Rig) { r.Box.HandPanel = true }},
	}
	for why, cause := range causes {
		for what, start := range starts {
			for _, powered := range []bool{false, true} {
				if powered && (what == "power" || cause.code == guard.StopCircuit || cause.code == guard.HandPanel || cause.code == guard.WorkingAtDish) {
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
		"asked":     {step.Command{Kind: step.Power, On: true, Asked: true}, true},
		"announced": {step.Command{Kind: step.Power, On: true, Announced: true}, true},
		"unasked":   {step.Command{Kind: step.Power, On: true}, false},
	} {
		r := rig.New(100, 40)
		r.Run(time.Second)
		r.Tick(row.command)
		r.Run(5 * time.Second)
		if on := r.State.Power == step.PowerOn; on != row.on || r.Box.Powered != row.on {
			t.Errorf("%s: power %v, at the enclosure %v", name, r.State.Power, r.Box.Powered)
		}
	}
}
