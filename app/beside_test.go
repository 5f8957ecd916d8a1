package main

import (
	"testing"

	"beamhelm/drive/step"
)

// Nothing but new counts after the Stop confirms that the dish stands.
func TestStandsStill(t *testing.T) {
	stands := step.Status{Tick: 12, Stop: step.StopStanding, Link: step.LinkStatus{State: step.LinkGood}}
	if !standsStill(&stands, 10) {
		t.Error("a dish that stands isn't confirmed")
	}
	for name, change := range map[string]func(*step.Status){
		"a tick that began before":   func(s *step.Status) { s.Tick = 11 },
		"a link that is lost":        func(s *step.Status) { s.Link.State = step.LinkLost },
		"a link that waits":          func(s *step.Status) { s.Link.State = step.LinkWaiting },
		"an axis that moves":         func(s *step.Status) { s.Moving = true },
		"a stop that is only asked":  func(s *step.Status) { s.Stop = step.StopAsked },
		"no stop that was ever made": func(s *step.Status) { s.Stop = step.StopNone },
	} {
		s := stands
		change(&s)
		if standsStill(&s, 10) {
			t.Errorf("%s passes for standing still", name)
		}
	}
}
