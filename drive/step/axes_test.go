package step_test

import (
	"testing"
	"time"

	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// onset is how long after its beginning a fault of azimuth was found while it is
// jogged, and as what, while elevation has its own.
func onset(t *testing.T, azimuth, elevation func(b *rig.Box)) (time.Duration, guard.Finding) {
	t.Helper()
	r := rig.New(100, 40)
	if !r.PowerOn() {
		t.Fatal("no power")
	}
	elevation(r.Box)
	r.Run(time.Second)
	jog := func() { r.Tick(step.Command{Kind: step.Jog, AzDrive: 1, Asked: true}) }
	for range 30 {
		jog()
	}
	azimuth(r.Box)
	begun := r.Inputs.Now
	for r.Inputs.Now < begun+20*time.Second && !r.State.Lock.Locked {
		jog()
	}
	return r.Inputs.Now - begun, r.State.Lock.Cause
}

// A fault of one axis neither hides nor delays one of the other.
func TestAxesAreJudgedApart(t *testing.T) {
	none := func(*rig.Box) {}
	elevation := map[string]func(b *rig.Box){
		"at its end switch": func(b *rig.Box) { b.Limits[1][0] = b.Axes[1].Dish + 0.001 },
	}
	for name, azimuth := range map[string]func(b *rig.Box){
		"blocked":        func(b *rig.Box) { b.Axes[0].Locked = true },
		"motor silent":   func(b *rig.Box) { b.Axes[0].Locked, b.CurrentA[0] = true, 0 },
		"encoder silent": func(b *rig.Box) { b.Slips[0] = 1 },
		"wrong way":      func(b *rig.Box) { b.Axes[0].Reverse = true },
	} {
		alone, by := onset(t, azimuth, none)
		if by.Code == guard.None {
			t.Errorf("%s: not found at all", name)
		}
		for other, fault := range elevation {
			if after, cause := onset(t, azimuth, fault); cause != by || (after-alone).Abs() > 100*time.Millisecond {
				t.Errorf("azimuth %s, elevation %s: %v after %v; alone %v after %v", name, other, cause.Code, after, by.Code, alone)
			}
		}
	}
}

// A fault that shows that counts and place may have parted ends the trust in
// that axis, and in no other.
func TestWhatEndsTheTrust(t *testing.T) {
	for name, fault := range map[string]func(b *rig.Box){
		"the encoder's coupling broke":      func(b *rig.Box) { b.Slips[0] = 1 },
		"the encoder counts backwards":      func(b *rig.Box) { b.Slips[0] = 2 },
		"the motor's coupling broke":        func(b *rig.Box) { b.Axes[0].Loose = true },
		"the encoder slips, most is lost":   func(b *rig.Box) { b.Slips[0] = 0.97 },
		"the axis is carried off":           func(b *rig.Box) { b.Drift[0] = -0.05 },
		"the encoder counts far too fast":   func(b *rig.Box) { b.Slips[0] = -4 },
		"the enclosure says that it failed": func(b *rig.Box) { b.EncoderFault[0] = true },
	} {
		r := rig.New(100, 40)
		if !r.PowerOn() {
			t.Fatal("no power")
		}
		r.Tick(rig.SlewTo(200, 60))
		r.Run(4 * time.Second)
		fault(r.Box)
		r.Until(15*time.Second, func() bool { return r.State.Lock.Locked })
		r.Run(3 * time.Second)
		if a := r.Status.Axes; a[0].Trusted || !a[0].Distrusted || !a[1].Trusted {
			t.Errorf("%s: azimuth trusted %v, elevation %v, locked out by %v; told %v", name, a[0].Trusted, a[1].Trusted, r.State.Lock.Cause.Code, r.Told)
		}
	}
}
