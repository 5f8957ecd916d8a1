package step_test

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// After a stop by the brakes in full motion, drive power alone moves nothing: the model, which lets the axis run down,
// is no reason to drive against what doesn't turn.
func TestPowerAfterABrakedStopMovesNothing(t *testing.T) {
	for _, waits := range []time.Duration{300 * time.Millisecond, time.Second, 3 * time.Second} {
		c := step.Default()
		for i := range c.Axes {
			c.Axes[i].Scale.Step, c.Axes[i].Drive.Backlash = unit.AngleFromDeg(0.01), 0
		}
		r := rig.NewWith(c, 1, 20)
		press := step.Power{On: true, Asked: true}
		r.Tick(press)
		r.Run(time.Second)
		r.Tick(rig.SlewTo(8, 1))
		r.Run(3 * time.Second)
		if r.Out.Demand.El == 0 || r.Out.Demand.Az == 0 {
			t.Fatal("it doesn't slew")
		}
		r.Enclosure.StopOpen = true // takes the power of motors and brakes away
		r.Run(200 * time.Millisecond)
		r.Enclosure.StopOpen = false
		for range 100 {
			r.Run(100 * time.Millisecond)
			if r.State.Lock.Releasable {
				break
			}
		}
		r.Run(waits)
		r.Tick(step.Release{})
		r.Tick(press)
		for range 50 {
			r.Run(100 * time.Millisecond)
			if d := r.Out.Demand; d.Az != 0 || d.El != 0 {
				t.Fatalf("%v after the counts stood: %v at %v with demand %d %d", waits, r.State.Mode, r.Inputs.Now,
					d.Az, d.El)
			}
		}
		if r.State.Mode != step.Holding || r.State.Power != step.PowerOn {
			t.Fatalf("%v, power %v", r.State.Mode, r.State.Power)
		}
	}
}

// After Release the panel holds where the counts have stood: an encoder that falls silent while the axis runs down
// after a Stop has the model run on, which is no reason to drive.
func TestReleaseMovesNothingThoughTheEncoderFellSilent(t *testing.T) {
	const tick = 100 * time.Millisecond
	for slews := tick; slews < 3*time.Second; slews += tick {
		for waits := time.Duration(0); waits < 2*time.Second; waits += tick {
			r := rig.NewWith(step.Default(), 1, 20)
			r.Tick(step.Power{On: true, Asked: true})
			r.Run(time.Second)
			r.Tick(rig.SlewTo(40, 20))
			r.Run(slews)
			r.Tick(step.Stop{})
			r.Run(waits)
			r.Enclosure.Slips[0] = 1
			for begun := r.Inputs.Now; !r.State.Lock.Releasable && r.Inputs.Now-begun < 10*time.Second; {
				r.Run(tick)
			}
			r.Tick(step.Release{})
			for range 30 {
				if d := r.Out.Demand; d.Az != 0 || d.El != 0 {
					t.Fatalf("slewing for %v, silent %v after the Stop: %v with demand %d %d", slews, waits,
						r.State.Mode, d.Az, d.El)
				}
				r.Run(tick)
			}
		}
	}
}
