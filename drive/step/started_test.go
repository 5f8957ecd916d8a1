package step_test

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// restartUncounted starts the box again as one whose memory is worn does: its
// counter of starts stays, its counts begin elsewhere.
func restartUncounted(r *rig.Rig) {
	r.Enclosure.Restart()
	r.Enclosure.Start--
	for i := range r.Enclosure.Axes {
		r.Enclosure.Axes[i].Dish += 0.1 // what the panel sees is counts that begin elsewhere
		r.Enclosure.Axes[i].Motor += 0.1
	}
	r.Run(2 * time.Second)
}

// The start of an enclosure whose counter of starts stands is known by its trip and
// by its time since start: the references end with it, also with the trip of an
// earlier start still standing.
func TestAStartThatIsNotCountedEndsTheReferences(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(rig.SlewTo(200, 40))
	r.Run(4 * time.Second)
	restartUncounted(r)
	started(t, r, "in a slew")
	r.Run(4 * time.Second)
	reference(t, r)
	restartUncounted(r)
	started(t, r, "locked out, the trip standing")
}

// started fails unless the start locked out and ended both references.
func started(t *testing.T, r *rig.Rig, when string) {
	t.Helper()
	if !r.State.Lock.Locked || r.State.Lock.Cause.Code != guard.Restarted {
		t.Errorf("%s: lock %+v, want enclosure restarted", when, r.State.Lock)
	}
	for i := range r.Status.Axes {
		if r.Status.Axes[i].Trusted {
			t.Errorf("%s: axis %d is still referenced", when, i)
		}
	}
}

// reference sets the position of both axes by hand.
func reference(t *testing.T, r *rig.Rig) {
	t.Helper()
	for axis, deg := range [...]float64{100, 40} {
		r.Tick(step.Reference{Axis: axis, Angle: unit.AngleFromDeg(deg), Origin: mount.ByHand})
		if !r.Status.Axes[axis].Trusted {
			t.Fatalf("axis %d: no reference: told %v", axis, r.Told)
		}
	}
	r.Run(time.Second)
}
