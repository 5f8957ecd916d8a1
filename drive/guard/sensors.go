package guard

import (
	"math"

	"github.com/soniakeys/unit"
)

// Sensors are those whose readings the rows judge by. State keeps those that have shown something, so that one that was
// lost is told from one that was never there; Facts has those whose reading can't be, which are there too.
type Sensors struct {
	Supply, Stage, Gust                      bool
	Relay, Reflected, Forward, Coolant, Flow bool
	Motor, Current                           [2]bool
}

func (s *Sensors) update(f *Facts) {
	if !f.Connected {
		return
	}
	seen := func(was *bool, v float64, implausible bool) { *was = *was || implausible || !math.IsNaN(v) }
	bad := &f.Implausible
	seen(&s.Supply, f.DriveSupplyV, bad.Supply)
	seen(&s.Stage, f.StageC, bad.Stage)
	seen(&s.Gust, f.WindGust, bad.Gust)
	seen(&s.Relay, f.RelayV, bad.Relay)
	seen(&s.Reflected, f.ReflectedW, bad.Reflected)
	seen(&s.Forward, f.ForwardW, bad.Forward)
	seen(&s.Coolant, f.CoolantC, bad.Coolant)
	seen(&s.Flow, f.FlowLitres, bad.Flow)
	for i := range f.Axes {
		seen(&s.Motor[i], f.Axes[i].MotorC, bad.Motor[i])
		seen(&s.Current[i], f.Axes[i].CurrentA, false)
	}
}

func temperatureMissing(c *Config, f *Facts, s *State, axis int) bool {
	return c.Limits.MotorHot > 0 && s.Fitted.Motor[axis] && math.IsNaN(f.Axes[axis].MotorC) ||
		axis == 0 && c.Limits.StageHot > 0 && s.Fitted.Stage && math.IsNaN(f.StageC)
}

// permitReadingMissing finds a reading that was there, and without which a limit of the permit cannot be judged.
func permitReadingMissing(c *Config, f *Facts, s *State, _ int) bool {
	l, was := &c.Limits, &s.Fitted
	lost := func(limit float64, was bool, v float64) bool { return limit > 0 && was && math.IsNaN(v) }
	return f.PermitRequested && (lost(max(l.RelayLow, l.RelayHigh), was.Relay, f.RelayV) ||
		lost(max(l.ReflectedHigh, l.SWRHigh), was.Reflected, f.ReflectedW) ||
		lost(l.SWRHigh, was.Forward, f.ForwardW) ||
		lost(l.CoolantHigh, was.Coolant, f.CoolantC) || lost(l.FlowLow, was.Flow, f.FlowLitres))
}

// FarFrom reports that a place lies further from an open end switch than it can.
func (c *AxisConfig) FarFrom(low, high bool, at unit.Angle) bool {
	place := c.EndLow
	if high {
		place = c.EndHigh
	}
	return low != high && c.EndMargin > 0 && apart(at, place) > c.EndMargin
}

// Beyond reports that a place lies further outside the end switches than the axis can get.
func (c *AxisConfig) Beyond(at unit.Angle) bool {
	return c.EndMargin > 0 && !(at >= c.EndLow-c.EndMargin && at <= c.EndHigh+c.EndMargin)
}

// endElsewhere finds an end switch that opens far from its place, or a place beyond one that hasn't opened: position or
// switch is wrong. It stands until the switch closes or the axis is referenced where it can be.
func endElsewhere(c *Config, f *Facts, s *State, axis int) bool {
	x := &f.Axes[axis]
	if x.EndLow == x.EndHigh {
		s.Elsewhere[axis] = x.Trusted && c.Axes[axis].Beyond(x.Position)
	} else if x.Trusted {
		s.Elsewhere[axis] = c.Axes[axis].FarFrom(x.EndLow, x.EndHigh, x.Position)
	}
	return s.Elsewhere[axis]
}
