package desk

import (
	"fmt"
	"strings"
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Rounds is a survey that goes from target to target by itself, for hours.
type Rounds struct {
	Running bool
	// Doing says what it does now; Taken and Failed are the peaks so far.
	Doing         string
	Taken, Failed int
	Until         time.Time
}

// roundsState is what the desk carries of it.
type roundsState struct {
	Running       bool
	Targets       []station.Target
	Done          []bool // in this round
	Taken, Failed int
	Until         time.Time
	// Phase is what it does with target Now; At since when.
	Phase roundsPhase
	Now   int
	At    step.Nanos
	// Rests is until when it waits for something to be up, or for the sky to have turned.
	Rests time.Time
	// Taking is the moment of the newest peak when this one was begun.
	Taking time.Time
	// PowersAt is when drive power comes on by itself, 0 where it doesn't; Begun when the operator asked for the
	// survey.
	PowersAt, Begun step.Nanos
}

// roundsPhase: only turn.rounds and turn.nextOfRound change it.
type roundsPhase uint8

const (
	roundsRest   roundsPhase       = iota // holding until Rests; becomes roundsWay
	roundsWay                             // on the way to a target; becomes roundsPeak, or the next
	roundsPeak                            // a peak is being taken; becomes roundsWay or roundsRest
	roundsOnIt   = 3 * time.Second        // the beam must have stood on the target so long
	roundsWayMax = 8 * time.Minute
	// roundsPause is between two rounds: the sky turns by five degrees.
	roundsPause = 20 * time.Minute
	mostHours   = 24
)

// roundsTo begins a survey over the named targets for some hours, or ends it.
func (t *turn) roundsTo(names string, hours int, on bool) {
	s := t.s
	if !on {
		t.endRounds("ended by the operator")
		return
	}
	var targets []station.Target
	for _, name := range strings.Split(names, ",") {
		choice, ok := t.named(strings.TrimSpace(name))
		if !ok {
			t.say(Warning, "No survey begun: there is no target %q", strings.TrimSpace(name))
			return
		}
		targets = append(targets, choice)
	}
	why := ""
	switch {
	case hours < 1 || hours > mostHours:
		why = fmt.Sprintf("%d hours: must be 1 to %d", hours, mostHours)
	case t.busy() != "":
		why = t.busy()
	case !t.trusted():
		why = "the axes are not referenced; set the reference first"
	case s.Armed.Has && !s.Armed.Question:
		why = "a pass is armed"
	}
	if why == "" {
		why = t.mayNotMove()
	}
	if why != "" {
		t.say(Warning, "No survey begun: %s", why)
		return
	}
	s.Rounds = roundsState{
		Running: true,
		Targets: targets,
		Done:    make([]bool, len(targets)),
		Until:   t.in.At.Add(time.Duration(hours) * time.Hour),
		At:      t.in.Now,
		Begun:   t.in.Now,
		Rests:   t.in.At,
	}
	t.say(
		Normal,
		"Survey of %d targets until %s: the dish moves by itself, with a motion warning before each slew",
		len(targets),
		s.Rounds.Until.Format("15:04"),
	)
}

// named is a body by its name: Moon, Sun or a source.
func (t *turn) named(name string) (station.Target, bool) {
	source := t.c.Target(BodyChoice{Kind: Source, Name: name})
	for _, choice := range [...]station.Target{t.c.Moon(), t.c.Sun(), source} {
		if strings.EqualFold(choice.Name, name) {
			_, _, ok := t.c.Place(choice, t.in.At)
			return choice, ok
		}
	}
	return station.Target{}, false
}

// mayNotMove says why a survey must not go on by itself; empty where it may.
func (t *turn) mayNotMove() string {
	loop := t.in.Loop
	switch {
	case loop.Mode == step.LockedOut:
		return "the dish is locked out"
	case loop.Working:
		return "somebody works at the dish"
	case loop.Link.State != step.LinkGood && loop.Link.State != step.LinkWaiting: // a missing reply is no lost link
		return "the enclosure does not answer"
	}
	for _, f := range loop.Findings[:loop.FindingCount] {
		switch row := guard.RowOf(f.Code); {
		case f.Code == guard.WindWarning, f.Code == guard.WindStow, row.Refuses, row.Response >= guard.Trip:
			return strings.ToLower(row.Words[:1]) + row.Words[1:]
		}
	}
	return ""
}

// endRounds ends a survey; the dish holds where it is.
func (t *turn) endRounds(why string) {
	s := t.s
	if !s.Rounds.Running {
		return
	}
	s.Rounds.Running = false
	t.endPeak(why)
	t.say(Notice, "Survey over after %d peaks: %s", s.Rounds.Taken, why)
	if s.Aim == trackAim || s.Waiting.Is {
		s.seek(noAim, t.in.Now)
		t.ask(step.Command{Kind: step.Hold})
	}
}

// overtake ends a survey when the operator does something else with the dish.
func (t *turn) overtake(o Order) {
	switch o.Kind {
	case Stop, Track, Hold, SlewTo, Park, WindStow, SnowStow, Nudge, Jog, Push, TakePeak, MeasureY, BandTo,
		Preamplifier, NoiseSource, RoundsTo, CancelWarning, BeamOnTarget, ReferenceTo, UndoReference, Arm:
		t.endSeries("the operator has taken over")
	case Power, Working:
		if r := t.s.Receiver.Series; r != nil && r.moves() && o.On == (o.Kind == Working) {
			t.endSeries("the operator has taken over")
		}
	}
	t.overtakeCheck(o)
	if !t.s.Rounds.Running {
		return
	}
	switch o.Kind {
	case Stop, Track, Hold, SlewTo, Park, WindStow, SnowStow, Choose, Nudge, Jog, Push, TrimTo, TrimBack, Aside,
		TakePeak, MeasureY, BandTo, Arm, CancelWarning, UseModel, ModelBack, ForgetSurvey, BeamOnTarget,
		ReferenceTo, UndoReference:
		t.s.Rounds.Running = false // without the hold: the order itself says what the dish does
		t.endPeak("the operator has taken over")
		t.say(Notice, "Survey over after %d peaks: the operator has taken over", t.s.Rounds.Taken)
	case Power:
		if !o.On {
			t.endRounds("the operator has taken over")
		}
	case Working:
		if o.On {
			t.endRounds("somebody works at the dish")
		}
	case EndJob:
		t.endRounds("ended by the operator")
	}
}

// rounds moves a survey on.
func (t *turn) rounds() {
	s, r := t.s, &t.s.Rounds
	if !r.Running {
		return
	}
	if why := t.mayNotMove(); why != "" {
		t.endRounds(why)
		return
	}
	if !t.in.At.Before(r.Until) {
		t.endRounds("its time is over")
		return
	}
	if r.PowersAt != 0 {
		if t.in.Now >= r.PowersAt {
			r.PowersAt, r.At, r.Rests = 0, t.in.Now, t.in.At
			t.setOffFor(trackAim, mount.Direction{})
		}
		return
	}
	switch r.Phase {
	case roundsRest:
		if !t.in.At.Before(r.Rests) {
			t.nextOfRound()
		}
	case roundsWay:
		switch {
		case s.Aim != trackAim && !s.Waiting.Is:
			t.failed("it was not reached")
		case t.in.Now-r.At > roundsWayMax:
			t.failed("it took too long to reach")
		case !pursuing(t.in.Loop.Mode) || len(s.Legs) > 0 || t.offTarget():
			s.Rounds.Rests = t.in.At
		case t.in.At.Sub(r.Rests) > roundsOnIt:
			r.Taking = time.Time{}
			if s.Peak.Last != nil {
				r.Taking = s.Peak.Last.At
			}
			if why := t.beginPeak(true); why != "" {
				t.failed(why)
				return
			}
			r.Phase = roundsPeak
		}
	case roundsPeak:
		if s.Peak.Run != nil {
			return
		}
		last := s.Peak.Last
		if last != nil && last.At.After(r.Taking) && last.Why == "" {
			r.Taken++
			r.Done[r.Now] = true
			t.nextOfRound()
			return
		}
		t.failed("no good peak")
	}
}

// offTarget reports that the beam is not yet where it shall be.
func (t *turn) offTarget() bool {
	want := wanted(t.in.Loop)
	is := axesOf(t.in.Loop)
	return station.Apart(want, is) > t.c.Beamwidth(t.s.Band, t.s.Feed).Mul(0.3)
}

// failed gives the target up for this round.
func (t *turn) failed(why string) {
	r := &t.s.Rounds
	r.Failed++
	r.Done[r.Now] = true
	t.say(Notice, "Survey: %s skipped: %s", r.Targets[r.Now].InWords(), why)
	t.nextOfRound()
}

// nextOfRound sets off for the next target that is up and free, or rests.
func (t *turn) nextOfRound() {
	s, r := t.s, &t.s.Rounds
	if m := t.in.Loop.Mode; m != step.Holding && m != step.Resting {
		// Each way begins from rest, and so with the motion warning: the loop leaves it
		// out for a dish that has just moved.
		if s.Aim != noAim {
			s.seek(noAim, t.in.Now)
			t.ask(step.Command{Kind: step.Hold})
		}
		r.Phase, r.Rests = roundsRest, t.in.At.Add(2*t.c.Drive.MotionWarning+8*time.Second)
		return
	}
	if s.Aim != noAim {
		s.seek(noAim, t.in.Now)
	}
	left := false
	for i, choice := range r.Targets {
		if r.Done[i] {
			continue
		}
		left = true
		d, _, ok := t.c.Place(choice, t.in.At)
		// A peak takes minutes and reaches to all sides: not too near the horizon, nor to the zenith.
		if !ok || d.El < t.c.Least()+degrees(6) || d.El > degrees(82) {
			continue
		}
		r.Now, r.Phase, r.At, r.Rests = i, roundsWay, t.in.Now, t.in.At
		if s.Choice != choice {
			t.choose(choice)
		}
		s.Route = pointing.Route{}
		there, ok := t.beam().AxesAt(t.in.At)
		if !ok {
			r.Done[i] = true
			continue
		}
		if why := t.beam().Refused(there); why != "" {
			r.Failed++
			r.Done[i] = true
			t.say(Notice, "Survey: %s skipped: %s", choice.InWords(), why)
			continue
		}
		if t.in.Loop.Power != step.PowerOn && t.in.Now-r.Begun > pressCounts {
			// No press stands behind drive power any more: it is announced, and can be cancelled.
			r.PowersAt = t.in.Now + max(t.c.Drive.MotionWarning, 5*time.Second)
			t.say(Notice, "Survey: drive power comes on for %s", choice.InWords())
			return
		}
		t.setOffFor(trackAim, mount.Direction{})
		return
	}
	r.Phase = roundsRest
	r.Rests = t.in.At.Add(roundsPause)
	if !left {
		clear(r.Done)
	}
}

// roundsStatus is the survey as the status tells it.
func (t *turn) roundsStatus() Rounds {
	r := &t.s.Rounds
	out := Rounds{Running: r.Running, Taken: r.Taken, Failed: r.Failed, Until: r.Until}
	if !r.Running {
		return out
	}
	switch r.Phase {
	case roundsRest:
		out.Doing = "rests until " + r.Rests.UTC().Format("15:04")
	case roundsWay:
		out.Doing = "slewing to " + r.Targets[r.Now].InWords()
	case roundsPeak:
		out.Doing = "peak on " + r.Targets[r.Now].InWords()
	}
	return out
}
