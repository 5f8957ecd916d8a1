package step_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// Whatever the drive is, Hold from full speed comes to rest without a guard; and an
// enclosure that drives on as before is found, and its power taken off.
func TestHoldFromFullSpeed(t *testing.T) {
	degrees := unit.AngleFromDeg
	for name, change := range map[string]func(d *motion.Drive){
		"as usual": func(*motion.Drive) {},
		"slow and gentle": func(d *motion.Drive) {
			d.TopSpeed, d.Acceleration, d.Jerk = degrees(0.3),
				degrees(0.05), degrees(0.02)
		},
		"fast": func(d *motion.Drive) {
			d.TopSpeed, d.Acceleration, d.Jerk = degrees(6),
				degrees(3), degrees(8)
		},
		"a long ramp":                 func(d *motion.Drive) { d.Ramp = 8 * time.Second },
		"a long lag":                  func(d *motion.Drive) { d.Lag, d.Acceleration = time.Second, degrees(0.3) },
		"three fixed speeds":          func(d *motion.Drive) { d.Speeds = 3 },
		"one fixed speed":             func(d *motion.Drive) { d.Speeds, d.TopSpeed = 1, degrees(0.5) },
		"much backlash, fine command": func(d *motion.Drive) { d.Backlash, d.MinDrive = degrees(0.6), 0.01 },
	} {
		for _, gain := range []float64{0.85, 1, 1.3} {
			for _, runs := range []bool{false, true} {
				c := step.Default()
				d := &c.Axes[0].Drive
				change(d)
				r := rig.NewWith(c, 0, 40)
				a := &r.Enclosure.Axes[0]
				a.TopSpeed, a.Acceleration = gain*d.TopSpeed.Rad(), d.Acceleration.Rad()
				a.Ramp, a.Lag = max(0.01, d.Ramp.Seconds()), d.Lag.Seconds()
				if !r.PowerOn() || !r.Until(2*time.Second, func() bool { return r.State.Mode == step.Holding }) {
					t.Fatal("no drive power")
				}
				r.Tick(rig.SlewTo(400, 40))
				r.Run(time.Duration(2*d.TopSpeed.Rad()/d.Acceleration.Rad()*1e9) + 2*d.Ramp + 10*time.Second)
				r.Enclosure.Runs = runs
				r.Tick(step.Hold{})
				rests := r.Until(time.Minute, func() bool {
					return r.Enclosure.Axes[0].Applied == 0 &&
						r.State.Mode != step.Halting
				})
				what := fmt.Sprintf("%s, gain %v", name, gain)
				switch cause := r.State.Lock.Cause.Code; {
				case !rests:
					t.Errorf("%s, drives on %v: %v, applied %v: %v", what, runs, r.State.Mode,
						r.Enclosure.Axes[0].Applied, r.Told)
				case !runs && r.State.Mode != step.Holding:
					t.Errorf("%s: %v, %v", what, r.State.Mode, r.Told)
				case runs && (cause != guard.NotObeyed || r.Enclosure.Powered):
					t.Errorf("%s: an enclosure that drives on: %v by %v", what, r.State.Mode, cause)
				}
			}
		}
	}
}

// Each Hold takes the slope as the first did.
func TestHoldAgain(t *testing.T) {
	r := rig.New(0, 40)
	if !r.PowerOn() {
		t.Fatal("no drive power")
	}
	var took [4]time.Duration
	for i := range took {
		r.Tick(rig.SlewTo(400, 40))
		r.Run(10 * time.Second)
		from := r.Inputs.Now
		r.Tick(step.Hold{})
		r.Until(20*time.Second, func() bool { return r.State.Mode == step.Holding })
		took[i] = r.Inputs.Now - from
		r.Run(10 * time.Second)
	}
	if slices.Max(took[:])-slices.Min(took[:]) > 300*time.Millisecond || took[0] < 2*time.Second {
		t.Errorf("they took %v", took)
	}
}

// underway returns a dish that has been slewing for some seconds between two azimuths, degrees.
func underway(t *testing.T, from, to float64) *rig.Rig {
	t.Helper()
	r := rig.New(from, 40)
	if !r.PowerOn() {
		t.Fatal("no drive power")
	}
	r.Run(time.Second)
	r.Tick(rig.SlewTo(to, 40))
	r.Run(4 * time.Second)
	return r
}

// While the dish comes to rest nothing is commanded: the place that it was going to no longer is, the one where it will
// rest is not known yet.
func TestNoCommandWhileHalting(t *testing.T) {
	r := underway(t, 0, 90)
	if !r.Status.Axes[0].HasSetpoint {
		t.Fatal("nothing is commanded in a slew")
	}
	r.Tick(step.Hold{})
	r.Tick()
	if r.State.Mode != step.Halting || r.Status.Axes[0].HasSetpoint || r.Status.Axes[1].HasSetpoint {
		t.Errorf("%v: commanded %v", r.State.Mode, r.Status.Axes)
	}
	if !r.Until(10*time.Second, func() bool { return r.State.Mode == step.Holding }) {
		t.Fatalf("never at rest: %v", r.Told)
	}
	r.Tick()
	if a := r.Status.Axes[0]; !a.HasSetpoint || a.Setpoint != a.Position {
		t.Errorf("at rest: %+v", a)
	}
}
