package desk

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Proposal is a change, asked while a target is followed, that would slew the dish.
// It is done only when it is asked for once more or confirmed.
type Proposal struct {
	Pending bool
	// To names where the dish would go; Distance is the true angle on the sky, Lasts about how long the way takes.
	To       string
	Distance unit.Angle
	Lasts    time.Duration
	Left     time.Duration // until it lapses
}

// proposal is what the desk carries of it.
type proposal struct {
	Pending  bool
	Order    Order
	To       string
	Distance unit.Angle
	Lasts    time.Duration
	Since    step.Nanos
	Until    step.Nanos
}

const (
	// proposalLives is how long a proposal waits to be confirmed.
	proposalLives = 10 * time.Second
	// againAfter keeps a double click from confirming: the words must have been on the screen.
	againAfter = 400 * time.Millisecond
	// slewBeamwidths is from how many half-power beamwidths on a change counts as a slew.
	slewBeamwidths = 3
)

// slewsUnsaid reports that an order may slew a dish that follows, though it doesn't say so.
func slewsUnsaid(o Order) bool {
	switch o.(type) {
	case Choose, BandTo, TrimTo, TrimBack, UsePeak, UseEchoPeak, UseModel, ModelBack:
		return true
	}
	return false
}

// propose reports that an order is not done now: it would slew the dish and waits to
// be confirmed, or its target is not up.
func (t *work) propose(o Order) bool {
	s := t.s
	if s.Aim != trackAim && s.Aim != waitAim || !slewsUnsaid(o) {
		return false
	}
	if p := &s.Proposal; p.Pending && p.Order == o {
		if t.in.Now < p.Since+againAfter {
			return true
		}
		*p = proposal{}
		return false
	}
	s.Proposal = proposal{}
	if c, ok := o.(Choose); ok {
		to := t.c.Target(c.Body)
		if d, _, ok := t.c.Place(to, t.in.At); ok && d.El < t.c.Min() {
			t.say(Warning, "desk.down-while-following",
				to.InWords(), s.Choice.InWords())
			return true
		}
	}
	from, known := t.commanded(s)
	then := *s
	attempt := work{c: t.c, s: &then, in: t.in, out: &Outputs{}}
	o.obey(&attempt)
	to, ok := t.commanded(&then)
	distance := mount.Apart(from, to)
	if !known || !ok || distance <= t.c.Beamwidth(s.Band, s.Feed).Mul(slewBeamwidths) {
		return false
	}
	s.Proposal = proposal{
		Pending:  true,
		Order:    o,
		To:       attempt.s.Choice.InWords(),
		Distance: distance,
		Lasts:    t.beam().Lasts(to),
		Since:    t.in.Now,
		Until:    t.in.Now + proposalLives,
	}
	t.say(
		Notice,
		"desk.proposed",
		s.Proposal.To,
		distance,
		s.Proposal.Lasts,
	)
	return true
}

// commanded is where the desk would have the axes now, in a state.
func (t *work) commanded(s *State) (mount.AxisAngles, bool) {
	if s.Aim == waitAim {
		return s.Place, true
	}
	return t.beamOf(s).AxesAt(t.in.At)
}

// lapse drops a proposal whose time is over.
func (t *work) lapse() {
	if p := &t.s.Proposal; p.Pending && t.in.Now > p.Until {
		t.say(Notice, "desk.not-confirmed", t.s.Choice.InWords())
		*p = proposal{}
	}
}

func (Confirm) obey(t *work) {
	if p := t.s.Proposal; p.Pending {
		t.s.Proposal = proposal{}
		t.obeyNow(p.Order)
	}
}

// proposed is the proposal as the status tells it.
func (t *work) proposed() Proposal {
	p := &t.s.Proposal
	if !p.Pending {
		return Proposal{}
	}
	return Proposal{Pending: true, To: p.To, Distance: p.Distance, Lasts: p.Lasts, Left: p.Until - t.in.Now}
}

// acquire follows whether the beam has come to where it shall be while a target is
// followed: within the tolerance at first, and lost again when it is off by more than
// the permit's angle, or half a beamwidth.
func (t *work) acquire() {
	s := t.s
	if s.Aim != trackAim {
		s.Acquired = false
		return
	}
	commanded, ok := t.beam().AxesAt(t.in.At)
	if !ok {
		return
	}
	is := pointing.AxesOf(t.in.Loop)
	half := t.c.Beamwidth(s.Band, s.Feed)
	off := mount.Apart(commanded, is)
	near := max(
		half.Mul(2*t.c.Settings.Tracking.ToleranceBeamwidths),
		t.in.Loop.Axes[0].Step.Mul(2),
		t.in.Loop.Axes[1].Step.Mul(2),
	)
	switch {
	case !pointing.Follows(t.in.Loop.Mode) || len(s.Legs) > 0:
		s.Acquired = false
	case off <= near:
		s.Acquired = true
	case off > max(near, half.Mul(0.5)):
		s.Acquired = false
	}
	s.ArrivesIn = t.beam().Lasts(commanded)
	if s.Returning && s.Acquired && !t.in.Loop.Moving {
		s.Returning = false
		t.say(Normal, "offsource.on", t.s.Choice.InWords())
	}
}

// arriving says why a level now is not that of one place; empty where the beam has arrived and stands.
func (t *work) arriving() message.Message {
	s := t.s
	switch {
	case s.Aim == trackAim && !s.Acquired:
		return message.Of("desk.on-its-way", t.s.Choice.InWords())
	case s.Aim != trackAim && t.in.Loop.Moving:
		return message.Of("desk.dish-moves")
	}
	return message.Message{}
}
