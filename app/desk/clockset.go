package desk

import (
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive/step"
)

// clockSet is how far the computer's clock may be set while a target is
// followed: the sky turns by half a degree meanwhile.
const clockSet = 2 * time.Minute

// clock lets the dish hold where the computer's clock was set by much: where
// the target is now, and whether it is up, was worked out by the other time.
func (t *work) clock() {
	s, in := t.s, t.in
	// A moment may carry the monotonic clock, which was not set: that must not be compared.
	passed, due := time.Duration(in.At.UnixNano()-s.SkyAt.UnixNano()), in.Now-s.SkyNow
	// Where the time scale has changed meanwhile, part of the time passed at either.
	was, is := due*time.Duration(max(1, s.TimeScale)), due*time.Duration(max(1, in.TimeScale))
	by := passed - min(max(passed, min(was, is)), max(was, is))
	first := s.SkyAt.IsZero()
	s.SkyAt, s.SkyNow = in.At, in.Now
	t.takeTimeScale()
	if first || by.Abs() <= clockSet {
		return
	}
	s.Route = pointing.Route{}
	t.press.ClockStepped = true
	if s.Aim != trackAim && s.Aim != waitAim {
		return
	}
	if pointing.Follows(in.Loop.Mode) {
		t.ask(step.Hold{})
	}
	s.seek(noAim, in.Now)
	t.say(
		Warning,
		"desk.clock-set",
		by,
	)
}
