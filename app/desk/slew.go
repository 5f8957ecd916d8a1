package desk

import (
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// goTo goes to a fixed place. Not asked means that no press stands behind it.
func (t *work) goTo(a aim, d mount.AxisAngles, asked bool) {
	if asked {
		t.s.NudgeAt = t.in.Now
		if !pointing.Referenced(t.in.Loop) {
			t.say(Warning, "desk.not-started", message.Of("desk.not-referenced"))
			return
		}
	}
	// To the wind stow it goes at any rate: a storm is the worse of the two.
	if why := t.beam().Refused(d); why.Code != "" && a != windAim {
		t.say(Warning, "desk.not-started", why)
		return
	}
	if asked {
		t.start(a, d)
		return
	}
	t.begin(a, d, false)
}

// start begins an aim; the press that asked for it switches drive power on where it is off.
func (t *work) start(a aim, d mount.AxisAngles) {
	s, in := t.s, t.in
	if in.Loop.Power == step.PowerOn {
		t.begin(a, d, true)
		return
	}
	s.seek(a, in.Now)
	s.Place = d
	s.Waiting = pending{Has: true, Aim: a, Place: d, Until: in.Now + 6*time.Second}
	t.ask(step.Power{On: true, Asked: true})
}

// begin begins an aim with drive power on, by a way that keeps a bare dish from the Sun.
func (t *work) begin(a aim, d mount.AxisAngles, asked bool) {
	s := t.s
	s.seek(a, t.in.Now)
	s.Place = d
	to := d
	if a == trackAim {
		there, ok := t.beam().AxesAt(t.in.At)
		if !ok {
			return // pursue follows
		}
		to = there
	}
	if by, _ := t.beam().WayRound(to); len(by) > 0 {
		s.Legs, s.LegsAsked = by, asked
		t.say(Notice, "desk.round-sun", by[0].Az.Mod1(), by[0].El)
		t.leg(by[0])
		return
	}
	if a != trackAim { // for tracking, pursue follows
		t.ask(step.Slew{To: d, Asked: asked})
	}
}

// leg begins the next leg of a way round the Sun.
func (t *work) leg(to mount.AxisAngles) {
	t.s.AimAt = t.in.Now
	t.ask(step.Slew{To: to, Asked: t.s.LegsAsked})
}

// legsLeft is how many legs of a way round the Sun are still to go, with the one that leads to the place; 0 on any
// other way.
func (t *work) legsLeft() int {
	if n := len(t.s.Legs); n > 0 {
		return n + 1
	}
	return 0
}

// legs goes on from one leg to the next, and at last to where the way leads; it
// reports whether the dish is still under way.
func (t *work) legs() bool {
	s, loop := t.s, t.in.Loop
	if len(s.Legs) == 0 {
		return false
	}
	if s.Waiting.Has || t.in.Now-s.AimAt < pointing.Acknowledge {
		return true
	}
	switch loop.Mode {
	case step.Slewing, step.Warning, step.Halting:
		return true
	case step.Holding:
		if pointing.Near(loop, s.Legs[0]) {
			break
		}
		fallthrough
	default:
		t.say(Notice, "desk.round-sun-ended", loop.Mode)
		s.seek(noAim, t.in.Now)
		return false
	}
	s.Legs = s.Legs[1:]
	switch {
	case len(s.Legs) > 0:
		t.leg(s.Legs[0])
	case s.Aim == trackAim:
		s.AimAt = t.in.Now // pursue follows
	default:
		t.leg(s.Place)
	}
	return true
}

// setOffFor begins an aim that no press stands behind: a motion warning comes
// first, and drive power comes on because the operator began the survey or
// armed the pass, and was told.
func (t *work) setOffFor(a aim, there mount.AxisAngles) {
	s := t.s
	s.NudgeAt = -time.Minute // no press is behind the follow either
	if t.in.Loop.Power == step.PowerOn {
		t.begin(a, there, false)
		return
	}
	s.seek(a, t.in.Now)
	s.Place = there
	s.Waiting = pending{Has: true, Aim: a, Place: there, Until: t.in.Now + 6*time.Second, Unasked: true}
	r := &s.Measuring.Rounds
	t.ask(step.Power{On: true, Asked: r.Running && t.in.Now-r.Begun <= pointing.PressCounts, Announced: true})
}
