package desk

import (
	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
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
			t.say(Normal, "offsource.back", t.s.Choice.InWords())
		}
	case s.Aim != trackAim:
		t.say(Warning, "offsource.refused", message.Of("offsource.untracked"))
	case t.busy().Code != "":
		t.say(Warning, "offsource.refused", t.busy())
	default:
		by := t.c.Beamwidth(s.Band, s.Feed).Mul(t.c.Settings.Tracking.OffSourceBeamwidths)
		side, why := t.beam().Colder(by)
		if why.Code != "" {
			t.say(Warning, "offsource.refused", why)
			return
		}
		s.excurse(pointing.Excursion{Sideways: side})
		s.Acquired, s.Returning = false, false
		t.say(Normal, "offsource.off", t.s.Choice.InWords(), by)
	}
}
