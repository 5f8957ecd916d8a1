package step_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// stopped is a rig whose dish was stopped in a slew, and stands.
func stopped(t *testing.T) *rig.Rig {
	t.Helper()
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no drive power")
	}
	r.Run(time.Second)
	r.Tick(rig.SlewTo(200, 40))
	r.Run(8 * time.Second)
	r.Tick(step.Stop{})
	if !r.Until(8*time.Second, func() bool { return r.State.Stop == step.StopStanding }) {
		t.Fatalf("stop %v: %v", r.State.Stop, r.Told)
	}
	return r
}

// That the dish stands is taken back when it moves afterwards, at the speed that the counts show, and confirmed anew
// when it stands again.
func TestStopTakenBack(t *testing.T) {
	for _, speed := range []float64{0.15, 0.6, -0.3} {
		r := stopped(t)
		r.Enclosure.Drift[0] = speed * math.Pi / 180
		if !r.Until(12*time.Second, func() bool { return r.State.Stop == step.StopDefied }) {
			t.Fatalf("%v deg/s after a stop: stop %v, %v", speed, r.State.Stop, r.Told)
		}
		r.Run(3 * time.Second)
		if rate := r.Status.Axes[0].Rate * 180 / math.Pi; math.Abs(rate/speed-1) > 0.4 {
			t.Errorf("moves at %v deg/s, told %v", speed, rate)
		}
		r.Tick(step.Release{})
		if r.State.Stop != step.StopDefied || !r.State.Lock.Locked || r.Status.Lock.Releasable {
			t.Errorf("%v deg/s: released while it moves: %v, %+v", speed, r.State.Stop, r.Status.Lock)
		}
		r.Enclosure.Drift[0] = 0
		if !r.Until(8*time.Second, func() bool { return r.State.Stop == step.StopStanding }) {
			t.Errorf("%v deg/s, and stands again: stop %v, %v", speed, r.State.Stop, r.Told)
		}
	}
}

// An enclosure that drives again after a stop is seen at once, long before the axis has gone anywhere.
func TestDrivenAfterStop(t *testing.T) {
	r := stopped(t)
	r.Enclosure.Axes[0].Demand, r.Enclosure.Runs = 0.3, true
	r.Run(400 * time.Millisecond)
	if r.State.Stop != step.StopAsked {
		t.Errorf("driven at 30 %% after a stop: stop %v", r.State.Stop)
	}
	if !r.Until(3*time.Second, func() bool { return r.State.Stop == step.StopDefied }) {
		t.Errorf("driven on: stop %v, %v", r.State.Stop, r.Told)
	}
}

// Counts of an encoder that failed confirm no standstill; the lock-out can be ended all the same.
func TestStopUnseen(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no drive power")
	}
	r.Run(time.Second)
	r.Enclosure.Slips[0] = 1
	r.Tick(rig.SlewTo(200, 40))
	if !r.Until(12*time.Second, func() bool { return r.State.Stop == step.StopUnseen }) {
		t.Fatalf("stop %v, %v", r.State.Stop, r.Told)
	}
	if c := r.State.Lock.Cause.Code; c != guard.EncoderSilent && c != guard.EncoderFault {
		t.Errorf("locked out by %v", c)
	}
	if slices.ContainsFunc(r.Told, func(e step.Event) bool { return e.Kind == step.StandingStill }) {
		t.Errorf("standstill confirmed by counts that failed: %v", r.Told)
	}
	r.Tick(step.Release{})
	r.Tick()
	if r.State.Lock.Locked || r.State.Stop != step.StopNone || r.State.Unseen {
		t.Errorf("not released: %v, %+v", r.State.Stop, r.State.Lock)
	}
}

// A computer that gave the loop no time for two seconds is no line without replies: the enclosure's watchdog tells.
func TestComputerAsleep(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no drive power")
	}
	r.Run(time.Second)
	r.Tick(rig.SlewTo(200, 40))
	r.Run(3 * time.Second)
	const asleep = 2 * time.Second
	r.Enclosure.Run(asleep)
	r.Inputs.Now += asleep
	r.Inputs.LateBy = asleep
	r.Tick()
	r.Inputs.LateBy = 0
	r.Run(time.Second)
	if c := r.State.Lock.Cause.Code; c != guard.WatchdogTripped {
		t.Errorf("locked out by %v: %v", c, r.Told)
	}
	for _, e := range r.Told {
		if e.Kind == step.Found && (e.Code == guard.LinkLost || e.Code == guard.LinkSilent) {
			t.Errorf("told of the line: %v", e)
		}
	}
	r.Deaf = true // and a line that is silent after it is found as ever
	if !r.Until(3*time.Second, func() bool { return r.State.Guard.Stands(guard.LinkLost) }) {
		t.Error("a silent line is not found any more")
	}
}
