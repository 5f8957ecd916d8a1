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

// That the dish stands is taken back when it moves afterwards, at the speed that the counts show, and confirmed again
// when it stands again.
func TestStopTakenBack(t *testing.T) {
	for _, speed := range []float64{0.15, 0.6, -0.3, 2, 5, -20} {
		r := stopped(t)
		r.Enclosure.Drift[0] = speed * math.Pi / 180
		if !r.Until(12*time.Second, func() bool { return r.State.Stop == step.StopDefied }) {
			t.Fatalf("%v deg/s after a stop: stop %v, %v", speed, r.State.Stop, r.Told)
		}
		r.Run(time.Duration(min(3, 40/math.Abs(speed)) * float64(time.Second)))
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
	r := underway(t, 100, 200)
	const asleep = 2 * time.Second
	r.Enclosure.Run(asleep)
	r.Inputs.Now += asleep
	r.Inputs.LateBy = asleep
	r.Tick()
	if d := r.Out.Demand; d.Az != 0 || d.El != 0 {
		t.Errorf("the first demand after it is %+v, by what was known before it", d)
	}
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

// A loop that is late again and again finds a silent line in nearly the time that one in time takes.
func TestSilentLineOnALoadedComputer(t *testing.T) {
	for _, late := range []time.Duration{0, 450 * time.Millisecond, 900 * time.Millisecond} {
		r := rig.New(100, 40)
		if !r.PowerOn() {
			t.Fatal("no drive power")
		}
		r.Run(time.Second)
		r.Tick(rig.SlewTo(200, 40))
		r.Run(3 * time.Second)
		r.Deaf = true
		from := r.Inputs.Now
		for r.State.Power == step.PowerOn && r.Inputs.Now-from < 20*time.Second {
			if late > 0 {
				r.Enclosure.Run(late)
				r.Inputs.Now += late
				r.Inputs.LateBy = late
			}
			r.Tick()
		}
		if took := r.Inputs.Now - from; took > 4*time.Second {
			t.Errorf("each tick %v late: power off after %v", late, took)
		}
	}
}

// A dish that moved while it was out of sight isn't confirmed to stand when the link is back.
func TestStopOutOfSight(t *testing.T) {
	for what, hide := range map[string]func(r *rig.Rig){
		"the line is cut": func(r *rig.Rig) {
			r.Cut = true
			r.Run(4 * time.Second)
			r.Cut = false
		},
		"the enclosure starts again": func(r *rig.Rig) { r.Enclosure.Restart() },
	} {
		r := stopped(t)
		r.Enclosure.Drift[0] = 0.5 * math.Pi / 180
		hide(r)
		r.Run(500 * time.Millisecond)
		for end := r.Inputs.Now + 10*time.Second; r.Inputs.Now < end; r.Tick() {
			if !r.State.Stop.Pending() || r.Status.Lock.Releasable {
				t.Fatalf("%s, and it moves on: stop %v, %+v", what, r.State.Stop, r.Status.Lock)
			}
		}
		r.Enclosure.Drift[0] = 0
		if !r.Until(8*time.Second, func() bool { return r.State.Stop == step.StopStanding }) {
			t.Errorf("%s, and it stands: stop %v, %v", what, r.State.Stop, r.Told)
		}
	}
}

// A dish that rocks in the wind by a count or two rests, and is released.
func TestStopOfADishThatRocks(t *testing.T) {
	for _, every := range []time.Duration{200 * time.Millisecond, 300 * time.Millisecond, 500 * time.Millisecond} {
		r := stopped(t)
		r.AfterTick = func(r *rig.Rig) {
			r.Enclosure.Drift[0] = 0.3 * math.Pi / 180 / every.Seconds()
			if r.Inputs.Now/every%2 == 0 {
				r.Enclosure.Drift[0] *= -1
			}
		}
		r.Run(time.Second)
		r.Tick(step.Stop{})
		if !r.Until(8*time.Second, func() bool { return r.State.Stop == step.StopStanding }) {
			t.Fatalf("rocks to and fro every %v: stop %v, %v", every, r.State.Stop, r.Told)
		}
		r.Run(5 * time.Second)
		if r.State.Stop != step.StopStanding {
			t.Errorf("rocks on every %v: stop %v, %v", every, r.State.Stop, r.Told)
		}
		r.Tick(step.Release{})
		r.Tick()
		if r.State.Lock.Locked {
			t.Errorf("rocks every %v: not released: %v", every, r.Told)
		}
	}
}

// What moves is not released, whatever moves it.
func TestMovingIsNotReleased(t *testing.T) {
	for what, change := range map[string]func(r *rig.Rig){
		"by itself": func(*rig.Rig) {}, "by the hand panel": func(r *rig.Rig) { r.Enclosure.HandPanel = true },
	} {
		r := stopped(t)
		change(r)
		r.Enclosure.Drift[0] = 2 * math.Pi / 180
		r.Run(time.Second)
		r.Tick(step.Release{})
		r.Tick()
		if !r.State.Lock.Locked || r.State.Stop == step.StopStanding {
			t.Errorf("moved %s at 2 degrees a second: %v, stop %v", what, r.State.Mode, r.State.Stop)
		}
	}
}

// Nor do the counts of an encoder that failed confirm a stop in the next session, or while the enclosure says so.
func TestStopUnseenLater(t *testing.T) {
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
	again := r.Again()
	again.Run(5 * time.Second)
	if again.State.Stop != step.StopUnseen {
		t.Errorf("in the next session: stop %v, %v", again.State.Stop, again.Told)
	}
	lost := stopped(t)
	lost.Enclosure.EncoderFault[0] = true
	lost.Run(time.Second)
	lost.Tick(step.Stop{})
	lost.Run(5 * time.Second)
	if lost.State.Stop != step.StopUnseen {
		t.Errorf("while the enclosure says that it failed: stop %v, %v", lost.State.Stop, lost.Told)
	}
}

// An encoder that failed before, and was mended while nothing was stopped, is no reason to doubt a later stop.
func TestStopAfterAnEncoderWasMended(t *testing.T) {
	r := rig.New(100, 40)
	r.Enclosure.EncoderFault[0] = true
	r.Run(2 * time.Second)
	if r.State.Stop != step.StopNone || r.State.Lock.Locked {
		t.Fatalf("with power off: stop %v, %+v", r.State.Stop, r.State.Lock)
	}
	r.Enclosure.EncoderFault[0] = false
	r.Tick(step.Power{On: true, Asked: true}) // clears what the enclosure keeps of it
	r.Run(4 * time.Second)
	r.Tick(step.Jog{ElSpeed: 0.02, Asked: true})
	r.Run(300 * time.Millisecond)
	r.Tick(step.Stop{})
	if !r.Until(8*time.Second, func() bool { return !r.State.Stop.Pending() }) || r.State.Stop != step.StopStanding {
		t.Errorf("stop %v, %v", r.State.Stop, r.Told)
	}
}
