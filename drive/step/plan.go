package step

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
)

// plan finds what each axis is to do and the drive for it.
func (s *State) plan(c *Config, in *Inputs) {
	// The moment at which a demand given now takes effect.
	effect := in.Now + s.Line.Latency
	for i := range s.Axes {
		a, x := &s.Axes[i], &c.Axes[i]
		if !x.Fitted {
			continue
		}
		g := s.goal(c, i, effect)
		g.BlockLow, g.BlockHigh = s.blocked(i)
		a.Goal, a.Pursued = unit.Angle(max(g.Low, min(g.High, g.Place))), g.Kind == motion.Go
		demand := a.Motion.Demand(&x.Drive, g, effect, c.Tick)
		a.Demand = register(demand, x.Drive.Reversed)
	}
}

// register is a drive as the demand register takes it; what is not a number is 0.
func register(demand float64, reversed bool) int16 {
	if !(math.Abs(demand) <= 1) {
		return 0
	}
	if reversed {
		demand = -demand
	}
	return int16(math.Round(demand * 10000))
}

// goal is what an axis is to do in this mode.
func (s *State) goal(c *Config, i int, effect Nanos) motion.Goal {
	a, x := &s.Axes[i], &c.Axes[i]
	g := motion.Goal{
		Kind: motion.Rest, Tolerance: a.Tolerance.Rad(), Share: 1, Limited: a.Trusted, Count: x.Scale.Step.Rad(),
		Low: x.Limits.SoftLow.Rad(), High: x.Limits.SoftHigh.Rad(),
	}
	if s.Verdict.Cut || s.Power != PowerOn || !s.Observed.Powered || s.Mode == LockedOut || s.Mode == Idle ||
		s.Stop != StopNone {
		g.Kind = motion.Cut
		return g
	}
	if s.Verdict.Pause {
		g.Kind = motion.Fade
		return g
	}
	switch s.Mode {
	case Jogging:
		g.Kind, g.Speed = motion.Run, a.Jog
		if s.Pushing {
			g.Kind = motion.Push
		}
		s.jogLimits(c, i, &g)
	case Slewing, Holding:
		if a.HasSetpoint && a.Trusted {
			g.Kind, g.Place = motion.Go, a.Setpoint.Rad()
			if s.Mode == Holding { // where it coasted beyond a limit it stays: nobody asked it back
				g.Low, g.High = min(g.Low, g.Place), max(g.High, g.Place)
			}
			if s.Mode == Holding && a.Motion.Settled() {
				g.Tolerance = max(g.Tolerance, 0.8*x.Scale.Step.Rad())
			} else {
				g.Tolerance = min(g.Tolerance, 0.3*x.Scale.Step.Rad())
			}
			if s.Mode == Slewing {
				s.roundStructures(c, i, &g)
			}
		}
	case Following:
		place, rate, _, ok := s.Course.At(effect, i)
		if ok && a.Trusted {
			g.Kind, g.Place, g.Rate = motion.Go, place.Rad(), rate
			a.Setpoint, a.HasSetpoint = place, true
			if a.Motion.Settled() {
				g.Tolerance = max(g.Tolerance, a.Quiet.Rad())
			}
		}
	}
	return g
}

// blocked reports the directions in which an axis must not move: into its open
// end switches.
func (s *State) blocked(i int) (low, high bool) {
	return s.Observed.EndLow[i] || s.Verdict.BlockLow[i], s.Observed.EndHigh[i] || s.Verdict.BlockHigh[i]
}

// jogLimits keeps a jog above the structures.
func (s *State) jogLimits(c *Config, i int, g *motion.Goal) {
	if !s.trusted(c) || c.Structures.Count == 0 {
		return
	}
	if i == Elevation {
		if minimum, ok := c.Structures.Min(s.Axes[Azimuth].position()); ok {
			g.Low = max(g.Low, min(minimum, s.Axes[Elevation].position()).Rad())
		}
		return
	}
	if s.walled(c, g.Speed) {
		g.Speed = 0
	}
}

// walled reports that azimuth would come to a structure that the dish is below.
func (s *State) walled(c *Config, speed float64) bool {
	az, el := s.Axes[Azimuth].position(), s.Axes[Elevation].position()
	reach := unit.Angle(math.Copysign(c.Axes[Azimuth].Drive.StoppingDistance().Rad(), speed))
	minimum, ok := c.Structures.MinBetween(az, az+reach)
	if !ok || el >= minimum {
		return false
	}
	here, under := c.Structures.Min(az)
	return !under || el >= here
}

// trusted reports whether every fitted axis is.
func (s *State) trusted(c *Config) bool {
	for i := range s.Axes {
		if c.Axes[i].Fitted && !s.Axes[i].Trusted {
			return false
		}
	}
	return true
}

// roundStructures takes a slew over the structures on its way: elevation first
// rises above them all, and azimuth waits for it.
func (s *State) roundStructures(c *Config, i int, g *motion.Goal) {
	if c.Structures.Count == 0 || !s.trusted(c) {
		return
	}
	az, el := s.Axes[Azimuth].position(), s.Axes[Elevation].position()
	minimum, ok := c.Structures.MinBetween(az, unit.Angle(s.Axes[Azimuth].setpointOrPosition()))
	switch {
	case !ok:
	case i == Elevation:
		g.Place = max(g.Place, minimum.Rad())
	case el < minimum-2*c.Axes[Elevation].Scale.Step:
		g.Kind = motion.Rest
	}
}

// ahead is how far the course is looked ahead for structures: longer than it
// takes to come to rest from a target's rate.
const ahead = 2 * time.Second

// structure reports that the course leads below a structure, now or soon, or
// that a jog is held by one.
func (s *State) structure(c *Config, in *Inputs) bool {
	switch {
	case c.Structures.Count == 0:
		return false
	case s.Mode == Jogging && s.trusted(c):
		az, el := &s.Axes[Azimuth], &s.Axes[Elevation]
		minimum, over := c.Structures.Min(az.position())
		return over && el.Jog < 0 && el.position() < minimum+2*c.Axes[Elevation].Scale.Step ||
			az.Jog != 0 && s.walled(c, az.Jog)
	case s.Mode != Following:
		return false
	}
	for _, at := range [...]Nanos{in.Now, in.Now + ahead} {
		az, _, _, ok := s.Course.At(at, Azimuth)
		el, _, _, _ := s.Course.At(at, Elevation)
		if minimum, over := c.Structures.Min(az); ok && over && el < minimum {
			return true
		}
	}
	return false
}

// offBy is the true angle on the sky between the commanded and the measured direction.
func (s *State) offBy() unit.Angle {
	a, e := &s.Axes[Azimuth], &s.Axes[Elevation]
	if !a.HasSetpoint || !e.HasSetpoint {
		return 0
	}
	return mount.Apart(mount.AxisAngles{Az: a.Setpoint, El: e.Setpoint}, s.positions())
}

// positions is where the axes are.
func (s *State) positions() mount.AxisAngles {
	return mount.AxisAngles{Az: s.Axes[Azimuth].position(), El: s.Axes[Elevation].position()}
}

// sunAngle is the angle between the beam and the Sun.
func (s *State) sunAngle(in *Inputs) unit.Angle {
	return mount.Apart(in.Sun, s.positions())
}

// wallStep is how far the wall clock stepped against the monotonic one since the last step.
func (s *State) wallStep(in *Inputs) Nanos {
	return Nanos(in.WallNanos-s.LastUTC) - (in.Now - s.Last)
}
