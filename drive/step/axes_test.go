package step_test

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"
	"pgregory.net/rapid"

	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// onset is how long after its beginning a fault of azimuth was found while it is
// jogged, and as what, while elevation has its own.
func onset(t *testing.T, azimuth, elevation func(b *rig.FakeEnclosure)) (time.Duration, guard.Finding) {
	t.Helper()
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	elevation(r.Enclosure)
	r.Run(time.Second)
	jog := func() { r.Tick(step.Jog{AzSpeed: 1, Asked: true}) }
	for range 30 {
		jog()
	}
	azimuth(r.Enclosure)
	begun := r.Inputs.Now
	for r.Inputs.Now < begun+20*time.Second && !r.State.Lock.Locked {
		jog()
	}
	return r.Inputs.Now - begun, r.State.Lock.Cause
}

// A fault of one axis neither hides nor delays one of the other.
func TestAxesAreJudgedApart(t *testing.T) {
	none := func(*rig.FakeEnclosure) {}
	elevation := map[string]func(b *rig.FakeEnclosure){
		"at its end switch": func(b *rig.FakeEnclosure) { b.Limits[1][0] = b.Axes[1].Dish + 0.001 },
	}
	for name, azimuth := range map[string]func(b *rig.FakeEnclosure){
		"blocked":        func(b *rig.FakeEnclosure) { b.Axes[0].Locked = true },
		"motor silent":   func(b *rig.FakeEnclosure) { b.Axes[0].Locked, b.CurrentA[0] = true, 0 },
		"encoder silent": func(b *rig.FakeEnclosure) { b.Slips[0] = 1 },
		"wrong way":      func(b *rig.FakeEnclosure) { b.Axes[0].Reverse = true },
	} {
		alone, by := onset(t, azimuth, none)
		if by.Code == guard.None {
			t.Errorf("%s: not found at all", name)
		}
		for other, fault := range elevation {
			if after, cause := onset(t, azimuth, fault); cause != by || (after-alone).Abs() > 100*time.Millisecond {
				t.Errorf("azimuth %s, elevation %s: %v after %v; alone %v after %v", name, other, cause.Code, after,
					by.Code, alone)
			}
		}
	}
}

// A fault that shows that counts and place may have parted ends the trust in
// that axis, and in no other.
func TestWhatEndsTheTrust(t *testing.T) {
	for name, fault := range map[string]func(b *rig.FakeEnclosure){
		"the encoder's coupling broke":      func(b *rig.FakeEnclosure) { b.Slips[0] = 1 },
		"the encoder counts backwards":      func(b *rig.FakeEnclosure) { b.Slips[0] = 2 },
		"the motor's coupling broke":        func(b *rig.FakeEnclosure) { b.Axes[0].Loose = true },
		"the encoder slips, most is lost":   func(b *rig.FakeEnclosure) { b.Slips[0] = 0.97 },
		"the axis is carried off":           func(b *rig.FakeEnclosure) { b.Drift[0] = -0.05 },
		"the encoder counts far too fast":   func(b *rig.FakeEnclosure) { b.Slips[0] = -4 },
		"the enclosure says that it failed": func(b *rig.FakeEnclosure) { b.EncoderFault[0] = true },
	} {
		r := rig.New(100, 40)
		if !r.PowerOn() {
			t.Fatal("no power")
		}
		r.Tick(rig.SlewTo(200, 60))
		r.Run(4 * time.Second)
		fault(r.Enclosure)
		r.Until(15*time.Second, func() bool { return r.State.Lock.Locked })
		r.Run(3 * time.Second)
		if a := r.Status.Axes; a[0].Trusted || !a[0].Distrusted || !a[1].Trusted {
			t.Errorf("%s: azimuth trusted %v, elevation %v, locked out by %v; told %v", name, a[0].Trusted,
				a[1].Trusted, r.State.Lock.Cause.Code, r.Told)
		}
	}
}

// An encoder that loses half of its counts or more at top speed ends the trust
// within 3 degrees of the dish's way, at whatever moment that begins.
func TestLossesAtTopSpeed(t *testing.T) {
	for _, step := range []float64{360.0 / 4096, 0.01} {
		for _, part := range []float64{0.5, 0.7, 0.9, 0.97, 1} {
			worst := 0.0
			for after := range 20 {
				worst = max(worst, lossAtTopSpeed(t, step, part, 50+after))
			}
			if worst > 3 {
				t.Errorf("counts of %.3f degrees, %v of them lost: trusted for %.2f degrees", step, part, worst)
			}
			t.Logf("counts of %.3f degrees, %v of them lost: trusted for %.2f degrees at most", step, part, worst)
		}
	}
}

// lossAtTopSpeed is the way in degrees, from the loss of that part of the counts, until the trust ends.
func lossAtTopSpeed(t *testing.T, count, part float64, after int) float64 {
	t.Helper()
	c := step.Default()
	for i := range c.Axes {
		c.Axes[i].Scale.Step = unit.AngleFromDeg(count)
	}
	r := rig.NewWith(c, 20, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	r.Tick(rig.SlewTo(300, 40))
	for range after {
		r.Tick()
	}
	from, _ := r.Place()
	r.Enclosure.Slips[0] = part
	if !r.State.Axes[0].Trusted || !r.Until(10*time.Second, func() bool { return !r.State.Axes[0].Trusted }) {
		t.Errorf("counts of %v degrees, %v of them lost: trusted before %v, and after 10 s", count, part,
			r.State.Axes[0].Trusted)
	}
	to, _ := r.Place()
	return to - from
}

// TestPropertyAxesApart lets the azimuth fail at any moment of a jog, with and
// without a fault of the elevation that ends nothing: it must be found alike.
func TestPropertyAxesApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := rapid.Float64Range(0.4, 1).Draw(t,
			"speed") * float64(rapid.SampledFrom([]int{-1, 1}).Draw(t, "direction"))
		lift := rapid.Float64Range(-1, 1).Draw(t, "elevation")
		ticks := rapid.IntRange(0, 60).Draw(t, "ticks")
		fault := rapid.SampledFrom([]string{"locked", "silent", "slips", "reverse", "idle"}).Draw(t, "fault")
		other := rapid.SampledFrom([]string{"upper end", "lower end", "current", "distrusted"}).Draw(t, "other")
		run := func(also bool) (time.Duration, guard.Finding) {
			r := rig.New(100, 40)
			if !r.PowerOn() {
				t.Fatal("no power")
			}
			b := r.Enclosure
			var distrust step.Command = step.Hold{}
			if also {
				switch other {
				case "upper end":
					b.Limits[1][1] = b.Axes[1].Dish - 0.001
				case "lower end":
					b.Limits[1][0] = b.Axes[1].Dish + 0.001
				case "current":
					b.CurrentLost[1] = true
				case "distrusted":
					distrust = step.Distrust{Axis: 1}
				}
			}
			r.Tick(distrust)
			r.Run(time.Second)
			begun := r.Inputs.Now
			for k := range 300 {
				if k == ticks {
					begun = r.Inputs.Now
					b.Axes[0].Locked, b.Axes[0].Reverse = fault == "locked" || fault == "silent", fault == "reverse"
					if fault == "silent" {
						b.CurrentA[0] = 0
					}
					if fault == "slips" {
						b.Slips[0] = 1
					}
					b.Idle = fault == "idle"
				}
				if r.Tick(step.Jog{AzSpeed: speed, ElSpeed: lift, Asked: true}); r.State.Lock.Locked {
					break
				}
			}
			return r.Inputs.Now - begun, r.State.Lock.Cause
		}
		alone, cause := run(false)
		if cause.Code == guard.None || cause.Axis != step.Azimuth && fault != "idle" {
			t.Fatalf("%s: found as %v of axis %d after %v", fault, cause.Code, cause.Axis, alone)
		}
		if fault == "idle" {
			return // that ends both axes
		}
		if with, by := run(true); by != cause || (with-alone).Abs() > 200*time.Millisecond {
			t.Fatalf("azimuth %s, elevation %s: %v after %v; alone %v after %v", fault, other, by.Code, with,
				cause.Code, alone)
		}
	})
}
