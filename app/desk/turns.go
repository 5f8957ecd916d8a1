package desk

import (
	"math"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Period is the turn of a timed contact that runs now.
type Period struct {
	// On is false where no turns are kept.
	On     bool
	Length time.Duration
	// OursFirst says that the first turn of each pair is ours.
	OursFirst bool
	// Ours says that the turn now is ours: we may transmit. Left is what is left of it.
	Ours bool
	Left time.Duration
}

// turns are those of a timed contact.
type turns struct {
	LengthS   float64
	OursFirst bool
	Off       bool
}

// The shortest and the longest turn, seconds.
const (
	leastTurnS = 15
	mostTurnS  = 150
)

func validTurn(seconds int) bool { return seconds >= leastTurnS && seconds <= mostTurnS }

func turnsOf(p settings.Periods) turns {
	return turns{LengthS: p.LengthS, OursFirst: p.Ours != settings.Second, Off: p.LengthS == 0}
}

// PeriodAt is the turn at a moment. Pairs of turns are counted from 1970-01-01
// 00:00 UTC, so that both stations count the same: where a whole number of pairs
// fills an hour, as with 15, 30, 60, 90, 120 and 150 s, they begin at the full hour.
func PeriodAt(length time.Duration, oursFirst bool, at time.Time) Period {
	p := Period{On: length > 0, Length: length, OursFirst: oursFirst}
	if !p.On {
		return p
	}
	inPair := time.Duration(at.UnixNano()) % (2 * length)
	if inPair < 0 {
		inPair += 2 * length
	}
	first := inPair < length
	p.Ours = first == oursFirst
	p.Left = length - inPair%length
	return p
}

// period is the turn now.
func (t *turn) period() Period {
	s := t.s.Turns
	if s.Off {
		return Period{Length: station.Seconds(s.LengthS), OursFirst: s.OursFirst}
	}
	return PeriodAt(station.Seconds(s.LengthS), s.OursFirst, t.in.At)
}

// turnsTo sets the turns; 0 seconds ends them.
func (t *turn) turnsTo(length int, oursFirst bool) {
	s := &t.s.Turns
	switch {
	case length == 0:
		s.Off = true
	case validTurn(length):
		*s = turns{LengthS: float64(length), OursFirst: oursFirst}
	default:
		t.say(Warning, "The period length is %d to %d s", leastTurnS, mostTurnS)
	}
}

// hushEvery is how often the larger tolerance is sent anew: it widens with the elevation.
const hushEvery = 10 * time.Second

// hush keeps the motors still in the other station's turns, where that is set: then
// the beam may drift as far as the second limit. A peak or the like needs them at all times.
func (t *turn) hush() {
	s, c := t.s, t.c
	p := t.period()
	on := c.Settings.Tracking.OnlyInOurPeriods && p.On && !p.Ours && s.Aim == trackAim && t.busy() == "" && s.Excursion == (excursion{})
	if on == s.Hushed && (!on || t.in.Now-s.HushedAt < hushEvery) {
		return
	}
	s.Hushed, s.HushedAt = on, t.in.Now
	angle := c.Beamwidth(s.Band, s.Feed).Mul(c.Settings.Tracking.SecondLimitBeamwidths)
	wide := angle.Div(max(0.1, math.Cos(t.in.Loop.Axes[mount.Elevation].Is.Rad())))
	t.ask(step.Command{Kind: step.Quiet, On: on, Az: min(wide, degrees(9)), El: min(angle, degrees(9))})
}
