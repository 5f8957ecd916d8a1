package desk

import (
	"beamhelm/app/desk/pointing"
)

// excurse takes an excursion up; the next course has it.
func (s *State) excurse(e pointing.Excursion) {
	if s.Excursion != e {
		s.Excursion, s.HasCourse = e, false
	}
}

// offSource goes to the colder side of the target and stays there, or back.
func (t *work) offSource(on bool) {
	s := t.s
	s.NudgeAt = t.in.Now
	switch {
	case !on:
		if s.Excursion.Sideways != 0 {
			s.excurse(pointing.Excursion{})
			s.Acquired, s.Returning = false, true
			t.say(Normal, "Going back to %s", t.s.Choice.InWords())
		}
	case s.Aim != trackAim:
		t.say(Warning, "Not off source: nothing is tracked")
	case t.busy() != "":
		t.say(Warning, "Not off source: %s", t.busy())
	default:
		by := t.c.Beamwidth(s.Band, s.Feed).Mul(t.c.Settings.Tracking.OffSourceBeamwidths)
		side, why := t.beam().Colder(by)
		if why != "" {
			t.say(Warning, "Not off source: %s", why)
			return
		}
		s.excurse(pointing.Excursion{Sideways: side})
		s.Acquired, s.Returning = false, false
		t.say(Normal, "Off source from %s by %.1f°", t.s.Choice.InWords(), by.Deg())
	}
}
