package guard

import (
	"time"
)

func linkLost(c *Config, f *Facts, _ *State, _ int) bool {
	if !f.Connected {
		return false
	}
	return f.ReplyAge-f.Asleep > c.linkLoss(f.Ours)
}

// linkLoss is how long replies may be missing.
func (c *Config) linkLoss(powered bool) time.Duration {
	limit := c.Limits.LinkIdle
	if powered {
		limit = c.Limits.LinkPowered
	}
	return max(limit, 4*c.Tick)
}

// linkSilent ends what nobody watches: requests may still get through and feed
// the enclosure's watchdog. Within two link-loss times of the last reply, the
// tick that says so with it, the orders are off.
func linkSilent(c *Config, f *Facts, _ *State, _ int) bool {
	return f.Connected && f.ReplyAge-f.Asleep > 2*(c.linkLoss(true)-c.Tick)
}

// readingsLast is how long readings can be relied on. They come twice a second.
const readingsLast = 5 * time.Second

// lateLoop warns for ten seconds after a late tick, so that it can be read.
func lateLoop(c *Config, f *Facts, s *State, _ int) bool {
	if f.LateBy > c.Limits.LoopLate {
		s.LateUntil = f.Now + 10*time.Second
	}
	return f.Now < s.LateUntil
}

// windowSilent: there should be a window, and it has given no sign for too long.
func windowSilent(c *Config, f *Facts) bool {
	return f.WindowExpected && f.WindowAge > c.Limits.WindowSilence
}

// softLimit finds an order that would take a trusted axis beyond its limits.
// The plan holds the axis at the limit; this row says so and ends the motion.
func softLimit(c *Config, f *Facts, _ *State, axis int) bool {
	a, x := &c.Axes[axis], &f.Axes[axis]
	if !x.Trusted || !x.HasCommand {
		return false
	}
	return x.Commanded > a.SoftHigh && x.Position > a.SoftHigh-2*a.Step ||
		x.Commanded < a.SoftLow && x.Position < a.SoftLow+2*a.Step
}

// held: driven and not moved. The enclosure may have found that first, and
// taken it for the encoder's fault.
func held(c *AxisConfig, f *Facts, s *State, axis int) bool {
	t := &s.Axes[axis]
	return f.Powered && t.stuck(c) && !t.wrong(c) || f.Ours && f.Axes[axis].EncoderFault && t.unmoved()
}

func stalled(c *Config, f *Facts, s *State, axis int) bool {
	a := &c.Axes[axis]
	load, known := s.Axes[axis].load()
	return known && a.StallA > 0 && load > 0.7*a.StallA && held(a, f, s, axis)
}

func motorSilent(c *Config, f *Facts, s *State, axis int) bool {
	a := &c.Axes[axis]
	load, known := s.Axes[axis].load()
	return known && a.IdleA > 0 && load < a.IdleA && held(a, f, s, axis)
}

func motorOverloaded(_ *Config, f *Facts, s *State, axis int) bool {
	if f.Stopped {
		return s.Axes[axis].Heat > 0.8
	}
	return s.Axes[axis].Heat >= 1
}

// overTemperature begins at the limit and ends 10 degrees below it. The drive
// stage is shown as the azimuth's.
func overTemperature(c *Config, f *Facts, s *State, axis int) bool {
	deadband := 0.0
	if s.Hot[axis] {
		deadband = 10
	}
	hot := c.Limits.MotorHot > 0 && f.Axes[axis].MotorC > c.Limits.MotorHot-deadband ||
		axis == 0 && c.Limits.StageHot > 0 && f.StageC > c.Limits.StageHot-deadband
	s.Hot[axis] = hot
	return hot
}

// clockStepped warns for a minute.
func clockStepped(c *Config, f *Facts, s *State, _ int) bool {
	if c.Limits.ClockOff > 0 && f.WallStep.Abs() > c.Limits.ClockOff/2 {
		s.ClockUntil = f.Now + time.Minute
	}
	return f.Now < s.ClockUntil
}

func closedSector(c *Config, f *Facts, _ *State, _ int) bool {
	if !f.PermitRequested {
		return false
	}
	for _, sector := range c.Limits.Closed[:c.Limits.ClosedCount] {
		if sector.Holds(f.AzDirection, f.ElDirection) {
			return true
		}
	}
	return false
}
