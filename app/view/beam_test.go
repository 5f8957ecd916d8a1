package view_test

import (
	"math"
	"strings"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// pointing returns a status with axes and target at given places, degrees.
func pointing(isAz, isEl, wantAz, wantEl float64) func(*desk.Status) {
	return func(s *desk.Status) {
		s.Axes[0].Position, s.Axes[1].Position, s.Axes[0].Setpoint, s.Axes[1].Setpoint = deg(
			isAz,
		), deg(
			isEl,
		), deg(
			wantAz,
		),
			deg(
				wantEl,
			)
		s.Bodies = []desk.Body{{Kind: desk.Moon, Name: "Moon", Az: deg(100), El: deg(60), Diameter: deg(0.52)}}
		s.Target.Az, s.Target.El = deg(100), deg(60)
		s.OffCross, s.OffEl = 0, 0
	}
}

func TestBeamSpots(t *testing.T) {
	// At elevation 60 a degree of azimuth is half a degree on the sky (cos 60 = 1/2).
	b := view.BeamOf(now(pointing(100.4, 60, 100, 60)))
	if !close(b.Position.Cross.Deg(), 0.2, 1e-4) || !close(b.Position.El.Deg(), 0, 1e-3) ||
		b.Setpoint != (view.Spot{}) {
		t.Errorf("the beam 0.4° of azimuth from the want: %v, %v", b.Position.Cross.Deg(), b.Position.El.Deg())
	}
	b = view.BeamOf(now(pointing(100, 59.9, 100, 60)))
	if !close(b.Position.El.Deg(), -0.1, 1e-9) {
		t.Errorf("the beam 0.1° low: %v", b.Position.El.Deg())
	}
	b = view.BeamOf(now(pointing(0, 20, 100, 60)))
	if b.Position != (view.Spot{}) || b.Setpoint.Far() < b.Reach || b.Setpoint.El < 0 || b.Setpoint.Cross < 0 {
		t.Errorf("on a slew the beam is in the middle: is %+v, want %+v", b.Position, b.Setpoint)
	}
	b = view.BeamOf(now(func(s *desk.Status) { s.Axes[0].HasSetpoint = false }))
	if b.HasSetpoint || b.Position != (view.Spot{}) {
		t.Errorf("without a want the beam is in the middle: %+v", b)
	}
	if !close(b.Reach.Deg(), 1.25*0.65, 1e-9) {
		t.Errorf("a beam of 0.65° is seen to ±%v°, want 1.25 beamwidths", b.Reach.Deg())
	}
}

func TestBeamDiscs(t *testing.T) {
	at := pointing(100, 60, 100, 60)
	off := func(cross, el float64) func(*desk.Status) {
		return func(s *desk.Status) { at(s); s.OffCross, s.OffEl = deg(cross), deg(el) }
	}
	b := view.BeamOf(now(off(0.06, -0.07)))
	moon, ok := b.Target()
	if !ok || !close(moon.At.Cross.Deg(), -0.06, 1e-9) || !close(moon.At.El.Deg(), 0.07, 1e-9) ||
		moon.Diameter != deg(0.52) {
		t.Errorf("the beam right of and below the Moon: %+v", moon)
	}
	b = view.BeamOf(now(func(s *desk.Status) {
		at(s)
		s.Bodies = append(s.Bodies, desk.Body{Kind: desk.Sun, Name: "Sun", Az: deg(101), El: deg(60),
			Diameter: deg(0.53)}, desk.Body{Kind: desk.Source, Name: "Cas A", Az: deg(110), El: deg(60)})
	}))
	if len(b.Discs) != 2 || b.Discs[1].Kind != desk.Sun || !close(b.Discs[1].At.Cross.Deg(), 0.5, 1e-3) {
		t.Errorf("what is near: %+v", b.Discs)
	}
	b = view.BeamOf(now(func(s *desk.Status) { pointing(100, 38, 100, 38)(s); s.OffEl = deg(-22) }))
	if moon, ok := b.Target(); !ok || view.FarWords(moon) != "Moon 22° away" || moon.At.El < 0 {
		t.Errorf("a target that is far: %+v", moon)
	}
	// On the horizon half a turn away the way leads over the zenith.
	b = view.BeamOf(now(func(s *desk.Status) { pointing(280, 0, 280, 0)(s); s.OffEl = deg(-90) }))
	if moon, _ := b.Target(); !close(moon.At.El.Deg(), 120, 1e-9) || !close(moon.At.Cross.Deg(), 0, 1e-9) {
		t.Errorf("a target behind the dish: %v, %v", moon.At.Cross.Deg(), moon.At.El.Deg())
	}
	b = view.BeamOf(now(func(s *desk.Status) { off(5, 5)(s); s.Target = desk.Target{} }))
	if len(b.Discs) != 1 || b.Discs[0].Target || b.Discs[0].At.Far() > 1e-12 {
		t.Errorf("without a target the axis angles stand for the sky: %+v", b.Discs)
	}
}

func TestRings(t *testing.T) {
	for half := 0.05; half < 40; half *= 1.07 {
		b := view.Beam{Reach: deg(1.25 * half)}
		if in := b.Reach.Deg() / b.Ring().Deg(); in < 1.5 || in >= 4.0001 {
			t.Errorf("a beam of %.3f° has %.2f rings of %v°", half, in, b.Ring().Deg())
		}
	}
}

func TestBeamCorners(t *testing.T) {
	rows := []struct {
		name             string
		change           func(*desk.Status)
		scale, off, loss string
	}{
		{"tracking", nil, "±0.8°, rings 0.25°", "0.04° error", "two-way pointing loss 0.1 dB"},
		{"on the Sun, which sends no echo", func(s *desk.Status) { s.Target.Choice.Kind = desk.Sun },
			"±0.8°, rings 0.25°", "0.04° error", ""},
		{"holding", func(s *desk.Status) { s.Activity = desk.Holding }, "±0.8°, rings 0.25°", "0.04° error", ""},
		{"nothing wanted", func(s *desk.Status) { s.Activity, s.Axes[0].HasSetpoint = desk.Idle, false },
			"±0.8°, rings 0.25°", "no command", ""},
		{"a wide beam", func(s *desk.Status) { s.Band = s.Scene.Bands[0] }, "±3.6°, rings 1°", "0.04° error",
			"two-way pointing loss 0.1 dB"},
		{"far off", func(s *desk.Status) { s.EchoLossDB = 4000 }, "±0.8°, rings 0.25°", "0.04° error",
			"two-way loss over 30 dB"},
		{"not referenced", func(s *desk.Status) { s.Axes[0].Trusted = false }, "±0.8°, rings 0.25°", "not referenced",
			""},
		{"link lost", func(s *desk.Status) { s.Link.State = desk.LinkLost }, "±0.8°, rings 0.25°", "last known", ""},
	}
	for _, row := range rows {
		n := now(row.change)
		scale, off, loss := view.BeamOf(n).Words(n)
		if scale.Words != row.scale || off.Words != row.off || loss.Words != row.loss {
			t.Errorf("%s: %q, %q, %q", row.name, scale.Words, off.Words, loss.Words)
		}
	}
}

func TestNudge(t *testing.T) {
	rows := []struct {
		name           string
		change         func(*desk.Status)
		moves, blocked string
	}{
		{"tracking", nil, "arrows: trim", ""},
		{"waiting", func(s *desk.Status) { s.Activity = desk.Waiting }, "arrows: trim", ""},
		{"holding", func(s *desk.Status) { s.Activity = desk.Holding }, "arrows: command", ""},
		{"not referenced", func(s *desk.Status) { s.Axes[1].Trusted = false }, "arrows jog", ""},
		{"at the dish", func(s *desk.Status) { s.Working = true }, "arrows: off", "working at the dish is set"},
		{"locked out and not trusted", func(s *desk.Status) { s.Lock.Locked, s.Axes[1].Trusted = true, false },
			"arrows: off", "locked out: release first"},
	}
	for _, row := range rows {
		n := now(row.change)
		if moves, blocked := view.NudgeMoves(n).Words,
			view.NudgeBlocked(n); moves != row.moves || blocked != row.blocked {
			t.Errorf("%s: %q, %q", row.name, moves, blocked)
		}
	}
	if got := view.NudgeTip("arrows: trim", 0.5,
		"up"); got != "One step of 0.5° on the sky, up (arrows: trim); held down, slow motion" {
		t.Errorf("tip %q", got)
	}
}

// A step costs the same of an echo with any dish: 24.08 dB times the square of its share of the
// beam, two-way, by a Gaussian beam. With fixed steps the smallest, 0.1 degree, cost 3.3 dB with a
// beam of 0.27 degree.
func TestStepsFollowTheBeam(t *testing.T) {
	for _, row := range []struct {
		beam  float64
		steps [view.StepCount]float64
		words string
	}{
		{0.27, [view.StepCount]float64{0.03, 0.14, 0.1, 1}, "0.03° 0.14° 0.1° 1°"},
		{1, [view.StepCount]float64{0.1, 0.5, 0.1, 1}, "0.1° 0.5° 0.1° 1°"},
		{2.72, [view.StepCount]float64{0.27, 1.36, 0.1, 1}, "0.27° 1.36° 0.1° 1°"},
		{0.04, [view.StepCount]float64{0.01, 0.02, 0.1, 1}, "0.01° 0.02° 0.1° 1°"},
	} {
		steps := view.Steps(unit.AngleFromDeg(row.beam))
		var words []string
		for _, step := range steps {
			words = append(words, view.StepWords(step))
		}
		if steps != row.steps || strings.Join(words, " ") != row.words {
			t.Errorf("beam %v: %v, %v", row.beam, steps, words)
		}
		if cost := 24.08 * math.Pow(steps[0]/row.beam, 2); row.beam > 0.1 && cost > 0.3 {
			t.Errorf("beam %v: the smallest step costs %.2f dB", row.beam, cost)
		}
	}
	if tip := view.StepTip(1,
		0.14); tip != "One step of the arrows: 0.14° on the sky, half of the half-power beamwidth (2)" {
		t.Error(tip)
	}
}
