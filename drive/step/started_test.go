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

// After a start the counts begin anywhere: what is offered is the place before it.
func TestAStartOffersThePlaceBeforeIt(t *testing.T) {
	for _, counted := range []bool{true, false} {
		for _, by := range []float64{0.1, -0.4, 3, -17} {
			r := rig.New(100, 40)
			r.Enclosure.Restart()
			if !counted {
				r.Enclosure.Start--
			}
			for i := range r.Enclosure.Axes {
				r.Enclosure.Axes[i].Dish += by // what the panel sees is counts that begin elsewhere
				r.Enclosure.Axes[i].Motor += by
			}
			r.Run(2 * time.Second)
			for i, place := range [...]float64{100, 40} {
				a := &r.Status.Axes[i]
				if off := math.Abs(a.Offered.Deg() - place); a.Trusted || !a.HasOffer || off > 0.2 {
					t.Errorf("counts elsewhere by %g, start counted %v, axis %d: trusted %v, offered %v %.2f degrees, "+
						"was at %g", by, counted, i, a.Trusted, a.HasOffer, a.Offered.Deg(), place)
				}
			}
		}
	}
}

// A reference that has the axis stand beyond its end switches is refused, however it is given.
func TestNoReferenceBeyondTheEnds(t *testing.T) {
	r := rig.New(100, 40)
	for _, row := range []struct {
		axis  int
		angle float64
	}{{0, -833}, {0, 460}, {0, -100}, {1, -116}, {1, 180}} {
		told := len(r.Told)
		r.Tick(step.Reference{Axis: row.axis, Angle: unit.AngleFromDeg(row.angle), Origin: mount.ByHand})
		r.Run(time.Second)
		refused := slices.ContainsFunc(r.Told[told:], func(e step.Event) bool { return e.Kind == step.RefusedBeyond })
		was := [...]float64{100, 40}[row.axis]
		if at := r.Status.Axes[row.axis].Position.Deg(); !refused || math.Abs(at-was) > 0.2 {
			t.Errorf("axis %d referenced at %g: refused %v, now at %.2f", row.axis, row.angle, refused, at)
		}
	}
}

// Counts that put a referenced axis beyond a closed end switch end its reference, and nothing of them is offered.
func TestAPlaceBeyondTheEndsEndsTheReference(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Enclosure.Limits[0] = [2]float64{-100, 100} // switches that don't open
	r.Tick(rig.SlewTo(200, 40))
	r.Run(2 * time.Second)
	r.Enclosure.Axes[0].Dish += 8
	r.Enclosure.Axes[0].Motor += 8
	r.Run(2 * time.Second)
	if a := &r.Status.Axes[0]; a.Trusted || a.HasOffer {
		t.Errorf("trusted %v, offered %v at %.0f degrees", a.Trusted, a.HasOffer, a.Position.Deg())
	}
	if r.Enclosure.Axes[0].Applied != 0 {
		t.Errorf("still driven, %.2f", r.Enclosure.Axes[0].Applied)
	}
}

// What was on offer before a start goes with it, where the place before the start can't be.
func TestAnOfferEndsWithAStart(t *testing.T) {
	r := rig.New(100, 40)
	kept := step.Kept{References: [2]mount.Reference{r.Status.Axes[0].Kept, r.Status.Axes[1].Kept},
		Distrusted: [2]bool{true}}
	kept.References[0].LastCounts += 1_000_000 // damaged
	again := rig.Join(r.Config, r.Enclosure, kept)
	if a := &again.Status.Axes[0]; a.Trusted || !a.HasOffer {
		t.Fatalf("kept as distrusted: trusted %v, offered %v", a.Trusted, a.HasOffer)
	}
	again.Enclosure.Restart()
	again.Run(time.Second)
	if a := &again.Status.Axes[0]; a.Trusted || a.HasOffer {
		t.Errorf("after a start: trusted %v, offered %v at %.0f degrees", a.Trusted, a.HasOffer, a.Offered.Deg())
	}
}
