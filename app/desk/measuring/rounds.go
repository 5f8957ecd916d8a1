package measuring

import (
	"strings"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Rounds is a survey that goes from target to target by itself, for hours.
type Rounds struct {
	Running bool
	// Doing says what it does now; Taken and Failed are the peaks so far.
	Doing         message.Message
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
	maxHours    = 24
)

// roundsTo begins a survey over the named targets for some hours, or ends it.
func (w *work) roundsTo(names string, hours int, on bool) {
	s := w.s
	if !on {
		w.endRounds(message.Of("desk.ended-by-operator"))
		return
	}
	var targets []station.Target
	for _, name := range strings.Split(names, ",") {
		choice, ok := w.named(strings.TrimSpace(name))
		if !ok {
			w.say(alarm.Warning, "survey.no-target", strings.TrimSpace(name))
			return
		}
		targets = append(targets, choice)
	}
	why := message.Message{}
	switch {
	case hours < 1 || hours > maxHours:
		why = message.Of("survey.hours", hours, maxHours)
	case w.busy().Code != "":
		why = w.busy()
	case !pointing.Referenced(w.in.Loop):
		why = message.Of("desk.not-referenced")
	case w.in.Armed:
		why = message.Of("measuring.armed")
	}
	if why.Code == "" {
		why = w.mayNotMove()
	}
	if why.Code != "" {
		w.say(alarm.Warning, "survey.none", why)
		return
	}
	s.Rounds = roundsState{
		Running: true,
		Targets: targets,
		Done:    make([]bool, len(targets)),
		Until:   w.in.At.Add(time.Duration(hours) * time.Hour),
		At:      w.in.Now,
		Begun:   w.in.Now,
		Rests:   w.in.At,
	}
	w.say(
		alarm.Normal,
		"survey.begun",
		len(targets),
		s.Rounds.Until,
	)
}

// named is a body by its name: Moon, Sun or a source.
func (w *work) named(name string) (station.Target, bool) {
	source := w.c.Target(station.BodyChoice{Kind: station.Source, Name: name})
	for _, choice := range [...]station.Target{w.c.Moon(), w.c.Sun(), source} {
		if strings.EqualFold(choice.Name, name) {
			_, _, ok := w.c.Place(choice, w.in.At)
			return choice, ok
		}
	}
	return station.Target{}, false
}

// mayNotMove says why a survey must not go on by itself; nothing where it may.
func (w *work) mayNotMove() message.Message {
	loop := w.in.Loop
	switch {
	case loop.Mode == step.LockedOut:
		return message.Of("desk.locked-out")
	case loop.Working:
		return message.Of("desk.at-dish")
	case loop.Link.State != step.LinkGood && loop.Link.State != step.LinkWaiting: // a missing reply is no lost link
		return message.Of("measuring.link-lost")
	}
	for _, f := range loop.Findings[:loop.FindingCount] {
		switch row := guard.RowOf(f.Code); {
		case f.Code == guard.WindWarning, f.Code == guard.WindStow, row.Refuses, row.Response >= guard.Trip:
			return message.Of("guard.row", f.Code)
		}
	}
	return message.Message{}
}

// endRounds ends a survey; the dish holds where it is.
func (w *work) endRounds(why message.Message) {
	s := w.s
	if !s.Rounds.Running {
		return
	}
	s.Rounds.Running = false
	w.endPeak(why)
	w.say(alarm.Notice, "survey.over", s.Rounds.Taken, why)
	if w.in.Tracking || w.in.Powering {
		w.ask(Rest{Hold: true})
	}
}

// rounds moves a survey on.
func (w *work) rounds() {
	s, r := w.s, &w.s.Rounds
	if !r.Running {
		return
	}
	if why := w.mayNotMove(); why.Code != "" {
		w.endRounds(why)
		return
	}
	if !w.in.At.Before(r.Until) {
		w.endRounds(message.Of("survey.time-over"))
		return
	}
	if r.PowersAt != 0 {
		if w.in.Now >= r.PowersAt {
			r.PowersAt, r.At, r.Rests = 0, w.in.Now, w.in.At
			w.ask(Track{Announced: true})
		}
		return
	}
	switch r.Phase {
	case roundsRest:
		if !w.in.At.Before(r.Rests) {
			w.nextOfRound()
		}
	case roundsWay:
		switch {
		case !w.in.Tracking && !w.in.Powering:
			w.failed(message.Of("measuring.unreached"))
		case w.in.Now-r.At > roundsWayMax:
			w.failed(message.Of("survey.took-long"))
		case !pointing.Follows(w.in.Loop.Mode) || w.in.Detour || w.offTarget():
			s.Rounds.Rests = w.in.At
		case w.in.At.Sub(r.Rests) > roundsOnIt:
			r.Taking = time.Time{}
			if s.Peak.Last != nil {
				r.Taking = s.Peak.Last.At
			}
			if why := w.beginPeak(true); why.Code != "" {
				w.failed(why)
				return
			}
			r.Phase = roundsPeak
		}
	case roundsPeak:
		if s.Peak.Run != nil {
			return
		}
		last := s.Peak.Last
		if last != nil && last.At.After(r.Taking) && last.Why.Code == "" {
			r.Taken++
			r.Done[r.Now] = true
			w.nextOfRound()
			return
		}
		w.failed(message.Of("survey.no-peak"))
	}
}

// offTarget reports that the beam is not yet where it shall be.
func (w *work) offTarget() bool {
	commanded := pointing.Commanded(w.in.Loop)
	is := pointing.AxesOf(w.in.Loop)
	return mount.Apart(commanded, is) > w.c.Beamwidth(w.in.Band, w.in.Feed).Mul(0.3)
}

// failed gives the target up for this round.
func (w *work) failed(why message.Message) {
	r := &w.s.Rounds
	r.Failed++
	r.Done[r.Now] = true
	w.say(alarm.Notice, "survey.skipped", r.Targets[r.Now].InWords(), why)
	w.nextOfRound()
}

// nextOfRound sets off for the next target that is up and free, or rests.
func (w *work) nextOfRound() {
	r := &w.s.Rounds
	if m := w.in.Loop.Mode; m != step.Holding && m != step.Idle {
		// Each way begins from rest, and so with the motion warning: the loop leaves it
		// out for a dish that has just moved.
		if !w.in.Idle {
			w.ask(Rest{Hold: true})
		}
		r.Phase, r.Rests = roundsRest, w.in.At.Add(2*w.c.Drive.MotionWarning+8*time.Second)
		return
	}
	if !w.in.Idle {
		w.ask(Rest{})
	}
	left, chosen := false, w.in.Target
	for i, choice := range r.Targets {
		if r.Done[i] {
			continue
		}
		left = true
		d, _, ok := w.c.Place(choice, w.in.At)
		// A peak takes minutes and reaches to all sides: not too near the horizon, nor to the zenith.
		if !ok || d.El < w.c.Min()+degrees(6) || d.El > degrees(82) {
			continue
		}
		r.Now, r.Phase, r.At, r.Rests = i, roundsWay, w.in.Now, w.in.At
		if chosen != choice {
			w.ask(Choose{choice})
			chosen = choice
		}
		beam := w.beamOn(choice)
		there, ok := beam.AxesAt(w.in.At)
		if !ok {
			r.Done[i] = true
			continue
		}
		if why := beam.Refused(there); why.Code != "" {
			r.Failed++
			r.Done[i] = true
			w.say(alarm.Notice, "survey.skipped", choice.InWords(), why)
			continue
		}
		if w.in.Loop.Power != step.PowerOn && w.in.Now-r.Begun > pointing.PressCounts {
			// No press stands behind drive power any more: it is announced, and can be cancelled.
			r.PowersAt = w.in.Now + max(w.c.Drive.MotionWarning, 5*time.Second)
			w.say(alarm.Notice, "survey.power", choice.InWords())
			return
		}
		w.ask(Track{Announced: true})
		return
	}
	r.Phase = roundsRest
	r.Rests = w.in.At.Add(roundsPause)
	if !left {
		clear(r.Done)
	}
}

// beamOn is the beam on another target, whose trim may be another.
func (w *work) beamOn(target station.Target) *pointing.Beam {
	beam := w.in.Beam
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	beam.Target, beam.Route, beam.Excursion = target, pointing.Route{}, pointing.Excursion{}
	beam.Chain.Trim = w.in.Trims.Of(band, feed, target.Kind)
	return &beam
}

// roundsStatus is the survey as the status tells it.
func (w *work) roundsStatus() Rounds {
	r := &w.s.Rounds
	out := Rounds{Running: r.Running, Taken: r.Taken, Failed: r.Failed, Until: r.Until}
	if !r.Running {
		return out
	}
	switch r.Phase {
	case roundsRest:
		out.Doing = message.Of("survey.doing.rests", r.Rests)
	case roundsWay:
		out.Doing = message.Of("survey.doing.slewing", r.Targets[r.Now].InWords())
	case roundsPeak:
		out.Doing = message.Of("survey.doing.peak", r.Targets[r.Now].InWords())
	}
	return out
}
