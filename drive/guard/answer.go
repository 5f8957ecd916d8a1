package guard

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// clock compares the enclosure's clock with the loop's: everything that is
// known of the motion is counted by the enclosure's.
type clock struct {
	Have   bool
	Millis uint32
	At     time.Duration // when the reply came with which the comparison began
	Until  time.Duration // it passes for wrong until then
}

const (
	// clockApart and a twentieth of the time passed are allowed between the two
	// clocks: replies come at uneven times, and a microcontroller may run without
	// a crystal (a few per cent: common practice, no source).
	clockApart = 500 * time.Millisecond
	// clockSpan is how long a comparison lasts before it begins again.
	clockSpan = 20 * time.Second
	// clockWrong is how long the clock passes for wrong after it was last seen to be.
	clockWrong = 3 * time.Second
)

func (k *clock) update(f *Facts) {
	at := f.Now - f.ReplyAge
	passed := at - k.At
	shown := time.Duration(f.Millis-k.Millis) * time.Millisecond
	wrong := k.Have && !f.Restarted && (shown-passed).Abs() > clockApart+passed/20
	if wrong {
		k.Until = f.Now + clockWrong
	}
	if wrong || !k.Have || f.Restarted || passed > clockSpan {
		k.Have, k.Millis, k.At = true, f.Millis, at
	}
}

// obedience compares the drive that the enclosure applies with what it should
// make of the demand: it follows at its ramp, and is zero without power and
// into an open end.
type obedience struct {
	Have bool
	At   time.Duration
	// Model is the drive that should be applied by now.
	Model float64
	// Short and Over are how long the drive applied has been less, or more or
	// the other way, than that. Unanswered is how long a drive was due, altogether,
	// since any was applied.
	Short, Over, Unanswered time.Duration
}

const (
	// obeyGap is the time between two replies beyond which the account begins again.
	obeyGap = 500 * time.Millisecond
	// A brake or contactor may hold the drive back for shortFor, but nothing may
	// drive beyond the demand for longer than overFor.
	shortFor = 2 * time.Second
	overFor  = 700 * time.Millisecond
	// unansweredFor bounds also short pushes that all come to nothing.
	unansweredFor = 2500 * time.Millisecond
)

func (o *obedience) update(c *AxisConfig, f *Facts, x *AxisFacts) {
	at := f.Now - f.ReplyAge
	passed := at - o.At
	o.At = at
	if !o.Have || passed <= 0 || passed > obeyGap {
		*o = obedience{Have: true, At: at, Model: x.Applied}
		return
	}
	demand := x.Demand
	if !f.Powered || x.EndHigh && demand > 0 || x.EndLow && demand < 0 || x.EndLow && x.EndHigh {
		demand = 0
	}
	change := 1.0
	if c.Ramp > 0 {
		change = passed.Seconds() / c.Ramp.Seconds()
	}
	o.Model += max(-change, min(change, demand-o.Model))
	quantum := 0.0
	if c.Speeds > 0 && o.Model != 0 {
		quantum = 1 / float64(c.Speeds)
	}
	off, allowed := x.Applied-o.Model, 0.1+0.25*math.Abs(o.Model)+quantum
	over := x.Applied*o.Model < 0 || math.Abs(x.Applied) > math.Abs(o.Model)
	account(&o.Short, passed, math.Abs(off) > allowed && !over)
	account(&o.Over, passed, math.Abs(off) > allowed && over)
	switch {
	case x.Applied != 0 || !f.Powered:
		o.Unanswered = 0
	case math.Abs(o.Model) > max(quantum, 0.01) && demand != 0:
		o.Unanswered += passed
	}
}

// account adds up the time for which something holds.
func account(sum *time.Duration, passed time.Duration, holds bool) {
	if *sum += passed; !holds {
		*sum = 0
	}
}

func (o *obedience) broken() bool {
	return o.Short > shortFor || o.Over > overFor || o.Unanswered > unansweredFor
}

// pursuit follows how far an axis is off the place to which it is being driven.
type pursuit struct {
	Have  bool
	At    time.Duration
	Goal  unit.Angle
	Rate  float64    // of the goal, radians a second, over about a second
	Best  unit.Angle // least distance since Since
	Since time.Duration
}

// apart is the distance between two angles of an axis.
func apart(a, b unit.Angle) unit.Angle { return unit.Angle(math.Abs((a - b).Rad())) }

// nearGoal is the distance within which an axis need not come any nearer.
func nearGoal(c *AxisConfig) unit.Angle { return max(unit.AngleFromDeg(1), 8*c.Step) }

// progress is the way that an axis must come nearer, and in what time: a quarter
// of top speed, or half its lowest fixed speed where that is less, for three
// seconds and two counts, once it has had the time to come to speed.
func progress(c *AxisConfig) (way unit.Angle, within time.Duration) {
	slow := 0.25 * c.TopSpeed.Rad()
	if c.Slowest > 0 {
		slow = min(slow, 0.5*c.Slowest.Rad())
	}
	seconds := 3 + (c.Lag + c.Ramp).Seconds() + 2*c.Step.Rad()/slow
	if a := c.Acceleration.Rad(); a > 0 {
		seconds += c.TopSpeed.Rad() / a
	}
	return unit.Angle(3*slow) + 2*c.Step, time.Duration(seconds * float64(time.Second))
}

func (p *pursuit) update(c *AxisConfig, f *Facts, x *AxisFacts) {
	passed := f.Now - p.At
	off, moved := apart(x.Goal, x.Position), (x.Goal - p.Goal).Rad()
	// A goal that was changed, or that moves nearly as fast as the axis, is another one.
	changed := math.Abs(moved) > 0.5*nearGoal(c).Rad()
	if !p.Have || changed || passed <= 0 {
		p.Rate = 0
	} else {
		p.Rate += (moved/passed.Seconds() - p.Rate) * (1 - math.Exp(-passed.Seconds()))
	}
	way, _ := progress(c)
	same := p.Have && f.Powered && passed <= time.Second && !changed && math.Abs(p.Rate) < 0.5*c.TopSpeed.Rad()
	if !same || off < nearGoal(c) || off < p.Best-way {
		p.Best, p.Since = off, f.Now
	}
	p.Have, p.At, p.Goal = x.Pursued, f.Now, x.Goal
}

func (p *pursuit) vain(c *AxisConfig) bool {
	_, within := progress(c)
	return p.Have && p.At-p.Since > within
}
