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

// The hand panel's key ends nothing that Stop or a trip locked.
func TestTheHandPanelEndsNoLockOut(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(rig.SlewTo(200, 45))
	r.Run(4 * time.Second)
	r.Tick(step.Stop{})
	r.Run(3 * time.Second)
	r.Enclosure.HandPanel = true
	r.Run(2 * time.Second)
	r.Enclosure.HandPanel = false
	r.Run(2 * time.Second)
	locked(t, r)
	r.Tick(step.Release{})
	if r.State.Lock.Locked || r.State.Mode != step.Idle {
		t.Errorf("not released: %v, %+v, told %v", r.State.Mode, r.State.Lock, r.Told)
	}
}

// locked fails unless power and slew are refused and nothing is driven.
func locked(t *testing.T, r *rig.Rig) {
	t.Helper()
	from, _ := r.Place()
	r.Tick(step.Power{On: true, Asked: true})
	r.Run(4 * time.Second)
	r.Tick(rig.SlewTo(from+20, 45))
	r.Run(4 * time.Second)
	if at, _ := r.Place(); !r.State.Lock.Locked || r.State.Mode != step.LockedOut || at < from-1 || at > from+1 {
		t.Fatalf("mode %v, lock %+v, azimuth from %.2f to %.2f, told %v", r.State.Mode, r.State.Lock, from, at, r.Told)
	}
}

// tell reports whether an event of that kind was told.
func told(r *rig.Rig, kind step.EventKind) bool {
	for _, e := range r.Told {
		if e.Kind == kind {
			return true
		}
	}
	return false
}

// A lock-out and the distrust of an axis outlive the program: the next session
// begins locked out, and offers the place instead of trusting it.
func TestLockOutAndDistrustOutliveTheSession(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(rig.SlewTo(200, 40))
	r.Run(4 * time.Second)
	r.Enclosure.Axes[0].Loose = true
	if !r.Until(10*time.Second, func() bool { return r.State.Lock.Locked }) {
		t.Fatal("no trip")
	}
	cause := r.State.Lock.Cause
	r.Run(5 * time.Second)
	r.Enclosure.Axes[0].Loose = false

	again := r.Again()
	if again.State.Lock.Cause != cause || !again.Status.Lock.Kept || again.Status.Lock.At != 0 {
		t.Errorf("the next session begins with %+v, want the cause %v kept, without a time", again.Status.Lock, cause)
	}
	again.Run(2 * time.Second)
	locked(t, again)
	if again.Status.Axes[0].Trusted || !again.Status.Axes[0].HasOffer || !again.Status.Axes[1].Trusted {
		t.Errorf("azimuth trusted %v, offered %v; elevation trusted %v", again.Status.Axes[0].Trusted,
			again.Status.Axes[0].HasOffer, again.Status.Axes[1].Trusted)
	}
	if a := again.Again(); a.State.Lock.Cause != cause || a.Status.Axes[0].Trusted {
		t.Error("the session after that knows nothing of it")
	}
	again.Tick(step.Release{})
	if again.State.Lock.Locked || !again.PowerOn() {
		t.Fatalf("not released: told %v", again.Told)
	}
	again.Tick(rig.SlewTo(120, 40))
	if !told(again, step.RefusedUntrusted) {
		t.Errorf("slewed on a position that is not trusted: told %v", again.Told)
	}
	again.Tick(step.Reference{Angle: unit.AngleFromDeg(100), Origin: mount.ByHand})
	if !again.Status.Axes[0].Trusted || again.Again().Status.Axes[0].Distrusted {
		t.Error("a new reference did not end the distrust")
	}
}

// A kept reference that has its axis stand where it can't get is damaged: it is neither trusted nor offered, whether or
// not the enclosure started since; one within reach of the ends is trusted.
func TestAKeptReferenceBeyondTheEnds(t *testing.T) {
	for _, row := range []struct {
		azDeg    float64
		sooner   uint16
		trusted  bool
		hasOffer bool
	}{
		{100, 0, true, false}, {-50, 0, true, false}, {411, 0, true, false},
		{-62, 0, false, false}, {422, 0, false, false}, {3600, 0, false, false}, {-1e6, 0, false, false},
		{100, 1, false, true}, {422, 1, false, false}, {-1e6, 1, false, false},
	} {
		r := rig.New(100, 40)
		c := r.Config
		kept := step.Kept{References: [2]mount.Reference{r.Status.Axes[0].Kept, r.Status.Axes[1].Kept}}
		kept.References[0].Start -= row.sooner
		kept.References[0].Angle += unit.AngleFromDeg(row.azDeg - 100)
		again := rig.Join(c, r.Enclosure, kept)
		a := again.Status.Axes[0]
		if a.Trusted != row.trusted || a.HasOffer != row.hasOffer || !again.Status.Axes[1].Trusted {
			t.Errorf("%+v: trusted %v, offered %v; elevation trusted %v", row, a.Trusted, a.HasOffer,
				again.Status.Axes[1].Trusted)
		}
		if row.sooner == 0 && told(again, step.Distrusted) == row.trusted {
			t.Errorf("%+v: told %v", row, again.Told)
		}
		if again.PowerOn() && !row.trusted {
			again.Tick(rig.SlewTo(120, 40))
			if !told(again, step.RefusedUntrusted) {
				t.Errorf("%+v: slewed: told %v", row, again.Told)
			}
		}
	}
}

// A kept lock-out is not released before the enclosure has answered and stands.
func TestAKeptLockOutWaitsForTheEnclosure(t *testing.T) {
	c := step.Default()
	var in step.Inputs
	s := step.New(&c, step.Kept{Locked: true})
	in.Commands[0], in.CommandCount = step.Release{}, 1
	step.Step(&c, &s, &in)
	if e := s.Events[s.Event%step.MaxEvents]; !s.Lock.Locked || e.Kind != step.RefusedNothing ||
		s.Lock.Cause.Axis != guard.NoAxis {
		t.Errorf("lock %+v, told %v", s.Lock, e)
	}
}

// While the enclosure says that an encoder failed, a reference of that axis is
// refused, and said; the other axis takes one.
func TestNoReferenceWhileTheEncoderTripStands(t *testing.T) {
	r := rig.New(100, 40)
	r.Enclosure.EncoderFault[0] = true
	r.Run(time.Second)
	r.Enclosure.EncoderFault[0] = false // gone, but its trip stands until it is cleared
	r.Run(time.Second)
	for _, m := range []step.Command{step.Reference{Angle: 1, Origin: mount.ByHand},
		step.TrustOffered{}} {
		r.Told = r.Told[:0]
		r.Tick(m)
		if r.Status.Axes[0].Trusted || !told(r, step.RefusedEncoder) || told(r, step.Referenced) {
			t.Errorf("%+v: trusted %v, told %v", m, r.Status.Axes[0].Trusted, r.Told)
		}
	}
	r.Tick(step.Reference{Axis: 1, Angle: 0.5, Origin: mount.ByHand})
	if !told(r, step.Referenced) {
		t.Errorf("elevation was not referenced: told %v", r.Told)
	}
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(step.Reference{Angle: 1, Origin: mount.ByHand})
	r.Run(time.Second)
	if !r.Status.Axes[0].Trusted {
		t.Errorf("not referenced after the trip was cleared: told %v", r.Told)
	}
}

// An axis that coasted beyond a soft limit stays there until motion is ordered:
// neither drive power nor Release takes it back.
func TestNothingGoesBackIntoTheLimitsUnasked(t *testing.T) {
	r := rig.New(100, -0.5)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.AfterTick = func(r *rig.Rig) {
		if r.State.Mode == step.Holding && r.Out.Demand.El != 0 {
			t.Fatalf("at %v: demand %d, and nobody asked for it", r.Inputs.Now, r.Out.Demand.El)
		}
	}
	r.Run(3 * time.Second)
}
