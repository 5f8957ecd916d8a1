package rehearse

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// TestReferenceIsUndoneInTheLoop: after a wrong reference, a slew and its undoing
// the position agrees with where the simulated dish truly stands, to within two counts.
func TestReferenceIsUndoneInTheLoop(t *testing.T) {
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.Hold{})
	w.pass(10 * time.Second)
	off := func(axis int) float64 {
		return w.Desk.Status().Axes[axis].Position.Deg() - w.Dish.Truth().Axis[axis].Deg()
	}
	before := off(0)
	is := w.Desk.Status().Axes[0].Position
	w.Desk.Ask(desk.ReferenceTo{Angle: is + unit.AngleFromDeg(7)})
	w.pass(3 * time.Second)
	if got := off(0) - before; math.Abs(got-7) > 0.2 {
		t.Fatalf("the reference moved the position by %v", got)
	}
	w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: is, El: w.Desk.Status().Axes[1].Position}})
	w.pass(20 * time.Second)
	w.Desk.Ask(desk.UndoReference{})
	w.pass(3 * time.Second)
	step := w.Desk.Status().Axes[0].StepDeg
	for axis := range 2 {
		if got := off(axis); math.Abs(got) > 2*step || !w.Desk.Status().Axes[axis].Trusted {
			t.Errorf("axis %d is %v degrees off the truth, a count is %v; events %v", axis, got, step, w.events)
		}
	}
}
