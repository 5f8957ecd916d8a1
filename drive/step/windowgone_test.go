package step_test

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// TestAWindowThatHangsEndsALargeChangeWhileHolding: a commanded angle that was
// changed by much is a way to go like a slew's, and ends with the window; where
// the dish holds already it goes on holding.
func TestAWindowThatHangsEndsALargeChangeWhileHolding(t *testing.T) {
	for _, row := range []struct {
		name string
		by   float64 // degrees
		ends bool
	}{{"40 degrees", 40, true}, {"nothing", 0, false}} {
		r := rig.New(0, 40)
		if !r.PowerOn() || !r.Until(2*time.Second, func() bool { return r.State.Mode == step.Holding }) {
			t.Fatal("no drive power")
		}
		r.Tick(step.WindowAlive{})
		to := mount.AxisAngles{Az: unit.AngleFromDeg(row.by), El: step.Keep()}
		r.Tick(step.Setpoint{To: to, Asked: true})
		r.Run(3500 * time.Millisecond)
		before := r.Enclosure.Axes[0].Dish
		r.Run(20 * time.Second)
		stopped := r.Enclosure.Axes[0].Dish*180/math.Pi < row.by-10
		if stopped != row.ends {
			t.Errorf("%s: at %.1f degrees after 23 s, at %.1f when the window was given up", row.name,
				r.Enclosure.Axes[0].Dish*180/math.Pi, before*180/math.Pi)
		}
		if r.State.Mode != step.Holding {
			t.Errorf("%s: mode %v, want to hold", row.name, r.State.Mode)
		}
	}
}
