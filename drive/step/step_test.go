package step_test

import (
	"math"
	"testing"
	"time"

	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

func TestPowerSlewStop(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatalf("power %v, told %v", r.State.Power, r.Told)
	}
	r.Tick(rig.SlewTo(110, 45))
	if !r.Until(30*time.Second, func() bool { return r.State.Mode == step.Holding }) {
		t.Fatalf("mode %v", r.State.Mode)
	}
	r.Run(3 * time.Second)
	az, el := r.Place()
	t.Logf("after %v at %.3f %.3f; told %v", r.Inputs.Now, az, el, r.Told)
	if math.Abs(az-110) > 0.09 || math.Abs(el-45) > 0.09 {
		t.Errorf("stands at %.3f, %.3f", az, el)
	}
	r.Tick(rig.SlewTo(200, 45))
	r.Run(5 * time.Second)
	r.Tick(step.Stop{})
	if r.Out.Demand.Az != 0 || r.State.Mode != step.LockedOut {
		t.Errorf("after Stop: demand %v, mode %v", r.Out.Demand.Az, r.State.Mode)
	}
	r.Run(6 * time.Second)
	if r.State.Stop != step.StopStanding {
		t.Errorf("stop state %v", r.State.Stop)
	}
	for _, e := range r.Told {
		t.Logf("%v %v", e.Now, e)
	}
}

func TestFollow(t *testing.T) {
	r := rig.New(100, 40)
	r.PowerOn()
	start := r.Inputs.Now
	az := func() float64 { return 110 + 0.004*(r.Inputs.Now-start).Seconds() }
	el := func() float64 { return 41 + 0.0025*(r.Inputs.Now-start).Seconds() }
	r.Follow(az(), el(), 0.004, 0.0025)
	r.Tick(step.Follow{Asked: true})
	worst := 0.0
	for i := range 6000 {
		if i%10 == 0 {
			r.Follow(az(), el(), 0.004, 0.0025)
		}
		r.Tick()
		a, e := r.Place()
		if i == 200 || i == 100 || i == 5999 {
			t.Logf("at %v off %.4f %.4f starts %v", r.Inputs.Now, a-az(), e-el(), r.Status.Axes[0].StartsPerHour)
		}
		if i > 300 {
			worst = max(worst, math.Abs(a-az()), math.Abs(e-el()))
		}
	}
	t.Logf("worst %.4f mode %v told %v", worst, r.State.Mode, r.Told)
	if r.State.Mode != step.Following || worst > 0.15 {
		t.Errorf("mode %v, worst %.3f", r.State.Mode, worst)
	}
}

func BenchmarkStep(b *testing.B) {
	r := rig.New(100, 40)
	r.PowerOn()
	r.Follow(110, 41, 0.004, 0.0025)
	r.Tick(step.Follow{Asked: true})
	r.Run(15 * time.Second)
	b.ReportAllocs()
	state, in := r.State, r.Inputs
	for b.Loop() {
		in.Now += 100 * time.Millisecond
		if in.Now-r.Inputs.Now > 30*time.Second {
			state, in.Now = r.State, r.Inputs.Now+100*time.Millisecond
		}
		in.Reply.Fresh = true
		in.Reply.Motion.Millis += 100
		in.Reply.SentAt, in.Reply.ReceivedAt = in.Now-100*time.Millisecond, in.Now-40*time.Millisecond
		step.Step(&r.Config, &state, &in)
	}
}

// A target that runs away beyond the soft limit doesn't draw the dish along: it
// comes to the limit at rest.
func TestFollowingPastTheSoftLimit(t *testing.T) {
	r := rig.New(100, 1.2)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	lowest := 90.0
	r.AfterTick = func(r *rig.Rig) {
		_, el := r.Place()
		lowest = min(lowest, el)
	}
	for range 8 {
		// The target is below the limit already, and goes on down at a degree a second.
		r.Follow(100, -1-r.Inputs.Now.Seconds(), 0, -1)
		r.Tick(step.Follow{Asked: true})
		r.Run(time.Second)
	}
	if lowest < -0.1 {
		t.Errorf("the dish went down to %.2f degrees, the soft limit is 0", lowest)
	}
	if lowest > 0.5 {
		t.Errorf("it did not come to the limit: lowest %.2f degrees", lowest)
	}
}

// A push drives openly, ends when it is not renewed, and comes to rest before a soft limit.
func TestPush(t *testing.T) {
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	push := func(az, el float64, ticks int) {
		for range ticks {
			r.Tick(step.Push{AzDrive: az, ElDrive: el, Asked: true})
		}
	}
	push(0.4, 0, 40)
	if d := r.Out.Demand; d.Az != 4000 || d.El != 0 {
		t.Errorf("demand %d %d, want 4000 0", d.Az, d.El)
	}
	r.Run(time.Second)
	if d := r.Out.Demand; d.Az != 0 {
		t.Errorf("demand %d a second after the last order", d.Az)
	}
	r.Run(5 * time.Second)
	if r.State.Mode != step.Holding {
		t.Errorf("mode %v after the push", r.State.Mode)
	}
	push(0, -1, 600)
	r.Run(5 * time.Second)
	if _, el := r.Place(); el < -0.1 || el > 6 {
		t.Errorf("pushed to elevation %.2f; the soft limit is 0", el)
	}
	if r.State.Mode == step.LockedOut {
		t.Errorf("locked out: %v", r.Told)
	}
}
