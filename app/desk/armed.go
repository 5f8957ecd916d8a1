package desk

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem/passes"
)

// Armed is a pass for which the dish sets off by itself.
type Armed struct {
	Has bool
	// Question says that it was armed in the last session: nothing happens
	// until the operator arms it again.
	Question bool
	Target   string
	Rise     time.Time
	Set      time.Time
	// Leaves is about when the dish sets off; UnderWay after that.
	Leaves   time.Time
	UnderWay bool
	// Notes tell what is special about the way: unwraps, zenith passages, limits.
	Notes []message.Message
}

// KeptPass is an armed pass as it is kept between two sessions.
type KeptPass struct {
	Choice BodyChoice `json:"choice"`
	Rise   time.Time  `json:"rise"`
	Set    time.Time  `json:"set"`
}

// armedState is what the desk carries of an armed pass.
type armedState struct {
	Has, Question, UnderWay bool
	Choice                  station.Target
	Rise, Set, Leaves       time.Time
	Notes                   []message.Message
}

func armedAgain(c *Config, k *KeptPass) armedState {
	if k == nil {
		return armedState{}
	}
	return armedState{Has: true, Question: true, Choice: c.Target(k.Choice), Rise: k.Rise, Set: k.Set, Leaves: k.Rise}
}

func (a *armedState) kept() *KeptPass {
	if !a.Has {
		return nil
	}
	return &KeptPass{Choice: a.Choice.BodyChoice, Rise: a.Rise, Set: a.Set}
}

// An armed pass announces itself this long before the dish sets off, and the dish is
// there this long before the target rises.
const (
	announceArmed = 30 * time.Second
	earlyThere    = time.Minute
)

// arm arms the pass of the plan's target that an instant lies in, or that comes next after it;
// without an instant it takes up the pass of the last session.
func (t *work) arm(at time.Time) {
	s, c := t.s, t.c
	if at.IsZero() && s.Armed.Question {
		if t.in.At.Before(s.Armed.Set) {
			s.Armed.Question = false
			t.wayOfArmed()
		}
		return
	}
	target := s.Radio.PlanTarget(c)
	body, _ := target.Body()
	at = later(at, t.in.At)
	for _, p := range passes.Of(c.Sky, body, t.c.Here(), at.Add(-radio.PassReach), at.Add(lookAhead)) {
		if !p.Set.After(at) {
			continue
		}
		s.Armed = armedState{Has: true, Choice: target, Rise: p.Rise, Set: p.Set}
		t.wayOfArmed()
		t.say(Normal, "armed.armed", target.InWords(), s.Armed.Rise, s.Armed.Set)
		return
	}
	t.say(Warning, "armed.no-pass", target.InWords(), int(lookAhead.Hours()))
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// wayOfArmed works out the way through the whole armed pass from where the dish is now.
func (t *work) wayOfArmed() {
	s, a := t.s, &t.s.Armed
	begin := later(a.Rise, t.in.At)
	choice, kept := s.Choice, s.Route
	s.Choice = a.Choice
	s.Route = t.beam().Plan(begin, t.in.Loop.Axes[mount.Azimuth].Position)
	there, ok := t.beam().OnRoute(begin)
	route := s.Route
	s.Choice, s.Route = choice, kept
	a.Notes = route.Notes()
	a.Leaves = begin.Add(-announceArmed - earlyThere)
	if ok {
		a.Leaves = a.Leaves.Add(-t.journey(there))
	}
	a.Leaves = later(a.Leaves, t.in.At) // a pass that has begun is announced too
}

// journey is how long the way to a place takes, the motion warning with it.
func (t *work) journey(there mount.AxisAngles) time.Duration {
	longest := t.c.Drive.MotionWarning
	for i, a := range [...]unit.Angle{there.Az, there.El} {
		x := &t.c.Drive.Axes[i]
		if top := x.Drive.TopSpeed; x.Fitted && top > 0 {
			far := max(a-t.in.Loop.Axes[i].Position, t.in.Loop.Axes[i].Position-a)
			longest = max(longest, t.c.Drive.MotionWarning+station.Seconds(far.Rad()/top.Rad()+10))
		}
	}
	return longest
}

// armed lets an armed pass happen.
func (t *work) armed() {
	s, a, at := t.s, &t.s.Armed, t.in.At
	switch {
	case !a.Has:
	case a.Question:
		if !at.Before(a.Set) {
			*a = armedState{}
		}
	case t.in.Loop.Mode == step.LockedOut && (a.UnderWay || !at.Before(a.Leaves)):
		t.disarm(Warning, message.Of("desk.locked-out"))
	case a.UnderWay && !at.Before(a.Set):
		*a = armedState{}
		if s.Aim == trackAim || s.Aim == waitAim || s.Aim == noAim {
			t.say(Normal, "armed.over-parks")
			t.goTo(parkAim, station.PlaceOf(t.c.Settings.Park), false)
		}
	case !a.UnderWay && !at.Before(a.Set):
		t.disarm(Warning, message.Of("armed.over"))
	case !a.UnderWay && !at.Before(a.Leaves.Add(announceArmed)):
		t.setOff()
	case !a.UnderWay && at.Before(a.Leaves) && at.After(a.Leaves.Add(-2*time.Second)):
		t.wayOfArmed() // from where the dish is by now
	}
}

// disarm gives an armed pass up.
func (t *work) disarm(g Grade, why message.Message) {
	if t.s.Armed.Has {
		t.s.Armed = armedState{}
		t.say(g, "armed.disarmed", why)
	}
}

// setOff begins an armed pass: the operator was told half a minute ago, and may have cancelled.
func (t *work) setOff() {
	s, c, a := t.s, t.c, &t.s.Armed
	if !pointing.Referenced(t.in.Loop) {
		t.disarm(Warning, message.Of("armed.not-referenced"))
		return
	}
	if t.in.Loop.Working {
		t.disarm(Warning, message.Of("desk.at-dish"))
		return
	}
	a.UnderWay = true
	if s.Choice != a.Choice {
		t.choose(a.Choice)
	}
	aim, there := waitAim, mount.AxisAngles{}
	if d, _, ok := c.Place(s.Choice, t.in.At); ok && d.El >= c.Min() {
		aim, s.Route = trackAim, pointing.Route{}
	} else {
		s.Route = t.beam().Plan(a.Rise, t.in.Loop.Axes[mount.Azimuth].Position)
		there, _ = t.beam().OnRoute(a.Rise)
	}
	if why := t.sunOnSetOff(aim, there); why.Code != "" {
		t.disarm(Warning, why)
		return
	}
	t.say(Normal, "armed.starts", t.s.Choice.InWords())
	t.setOffFor(aim, there)
}

// sunOnSetOff says why a bare dish must not set off: because of the Sun.
func (t *work) sunOnSetOff(a aim, there mount.AxisAngles) message.Message {
	if a == trackAim {
		now, ok := t.beam().AxesAt(t.in.At)
		if !ok {
			return message.Message{}
		}
		there = now
	}
	return t.beam().Refused(there)
}

// intervene ends an armed pass that is under way when the operator takes the dish elsewhere.
func (t *work) intervene(o Order) {
	a := &t.s.Armed
	if !a.Has {
		return
	}
	over := false
	switch o := o.(type) {
	case Stop:
		t.disarm(Notice, message.Of("armed.stopped"))
	case CancelWarning:
		if a.UnderWay || !a.Question && !t.in.At.Before(a.Leaves) {
			t.disarm(Notice, message.Of("armed.cancelled"))
		}
	case Hold, SlewTo, Park, WindStow, SnowStow, Choose:
		over = a.UnderWay
	case Track:
		over = a.UnderWay && !o.On
	case Power:
		over = a.UnderWay && !o.On
	case Working:
		over = a.UnderWay && o.On
	}
	if over {
		t.disarm(Notice, message.Of("desk.taken-over"))
	}
}

// armedStatus is the armed pass as the status tells it.
func (t *work) armedStatus() Armed {
	a := t.s.Armed
	if !a.Has {
		return Armed{}
	}
	return Armed{
		Has:      true,
		Question: a.Question,
		Target:   a.Choice.InWords(),
		Rise:     a.Rise,
		Set:      a.Set,
		Leaves:   a.Leaves,
		UnderWay: a.UnderWay,
		Notes:    a.Notes,
	}
}
