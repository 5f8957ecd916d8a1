package desk

import (
	"cmp"
	"time"

	"beamhelm/app/commission"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
)

// Commissioning is how the first work at the dish stands; nil while it has not begun.
type Commissioning struct {
	// State, Config and Now are what its lines are worked out from. They are not changed once published.
	State  *commission.State
	Config *commission.Config
	Now    *commission.Now
}

// commissioningState is what the desk carries of it.
type commissioningState struct {
	State     commission.State
	Config    *commission.Config
	Snapshot  step.Nanos // of the reply taken in last
	Pushed    [2]int     // where the newest push, at PushedAt, drives each axis: -1, 0, +1
	PushedAt  step.Nanos
	Published *Commissioning
	At        step.Nanos // when it was published
}

// pushHeld is how old the newest order of a push that is held may be.
const pushHeld = 300 * time.Millisecond

// publishCommissioning is how often it is published while nothing is asked.
const publishCommissioning = 500 * time.Millisecond

// takeCommissioning takes up the work of an earlier session.
func (s *State) takeCommissioning(kept commission.State) { s.Commissioning.State = kept }

func (o Commission) obey(t *work) {
	s, a := &t.s.Commissioning, o.Act
	if wrong := s.State.Do(t.commissionConfig(), t.commissionNow(), a); wrong.Code != "" {
		t.say(Warning, "commission.wrong", a.Step, wrong)
		return
	}
	s.At = 0 // to be seen at once
	switch a.Kind {
	case commission.Finish:
		t.say(Normal, "commission.step-done", int(a.Step), a.Step)
	case commission.Refuse:
		t.say(Notice, "commission.step-skipped", int(a.Step), a.Words)
	}
}

// Nothing is pushed before the cautions of the commissioning are confirmed.
func (o Push) obey(t *work) {
	s := t.s
	if !s.Commissioning.State.MayMove() {
		if t.in.Now-s.NudgeAt > time.Second {
			t.say(Warning, "commission.cautions-first")
		}
		s.NudgeAt = t.in.Now
		return
	}
	s.NudgeAt = t.in.Now
	s.Commissioning.Pushed = [2]int{cmp.Compare(o.Az, 0), cmp.Compare(o.El, 0)}
	s.Commissioning.PushedAt = t.in.Now
	if s.Aim != noAim {
		s.seek(noAim, t.in.Now)
	}
	t.ask(step.Push{AzDrive: part(o.Az), ElDrive: part(o.El), Asked: true})
}

func part(v float64) float64 { return max(-1, min(1, v)) }

// commissioning takes in what the enclosure shows.
func (t *work) commissioning() {
	s := &t.s.Commissioning
	if s.State.Begun.IsZero() {
		s.Published = nil
		return
	}
	now := t.commissionNow()
	s.Snapshot = t.in.Loop.Link.Snapshot
	s.State.Watch(t.commissionConfig(), now)
	if s.Published == nil || s.At == 0 || t.in.Now-s.At >= publishCommissioning {
		kept := s.State
		s.Published, s.At = &Commissioning{&kept, s.Config, now}, t.in.Now
	}
}

func (t *work) commissionConfig() *commission.Config {
	if t.s.Commissioning.Config == nil {
		t.s.Commissioning.Config = &commission.Config{Settings: t.c.Settings}
	}
	return t.s.Commissioning.Config
}

// commissionNow is the moment as the commissioning wants it.
func (t *work) commissionNow() *commission.Now {
	loop, s := t.in.Loop, t.s
	n := &commission.Now{
		At:        t.in.At,
		Mono:      t.in.Now,
		Good:      loop.Link.State.Live(),
		Fresh:     loop.HasMotion && loop.Link.Snapshot != s.Commissioning.Snapshot,
		Identity:  loop.Identity,
		PerSecond: s.Rate.PerSecond,
		Errors:    t.in.Around.Line.Errors,
		Powered:   loop.Motion.State&enclosure.StatePower != 0,
		StopOpen:  loop.Motion.State&enclosure.StateStopOpen != 0, Hand: loop.Motion.State&enclosure.StateHand != 0,
	}
	for i := range n.Axes {
		a, m := &loop.Axes[i], loop.Motion.Axis(i)
		n.Axes[i] = commission.Axis{
			Fitted:   a.Fitted,
			Millis:   loop.Motion.Millis,
			Counts:   m.Counts,
			Applied:  float64(m.Applied) / enclosure.FullDrive,
			CurrentA: a.CurrentA,
			EndLow:   m.Lower,
			EndHigh:  m.Upper,
			Trusted:  a.Trusted,
			IsDeg:    a.Position.Deg(),
			Origin:   a.Reference.Origin.String(),
			Moving:   a.Moving,
		}
		if t.in.Now-s.Commissioning.PushedAt < pushHeld {
			n.Axes[i].Pushed = s.Commissioning.Pushed[i]
		}
		if a.Learned.HasBacklash {
			n.Axes[i].LearnedBacklashDeg = a.Learned.Backlash.Deg()
		}
	}
	if p := s.Measuring.Peak.Last; p != nil && p.Why.Code == "" {
		n.Peak = p.At
		n.PeakFound = message.Of("commission.peak", p.Target, p.Found.Cross, p.Found.El)
	}
	return n
}
