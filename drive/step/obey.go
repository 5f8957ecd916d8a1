package step

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// command obeys one command, or says why not.
func (s *State) command(c *Config, in *Inputs, m Command) {
	if !finite(m) {
		s.say(in, NoSuchNumber)
		return
	}
	m.obey(s, c, in)
}

func (Stop) obey(s *State, _ *Config, in *Inputs) {
	busy := s.Mode.active() || s.moving(in) || !s.atRest() || s.Power == PowerClearing || s.Power == PowerAsked
	s.askStop(in.Now)
	s.Permit.Stopped = true // what is ordered behind the Stop may end its state, but not this
	if !in.NewCourse {      // a new one was worked out after the Stop
		s.Course = Course{}
	}
	if s.Stow.Running || s.Stow.Now {
		s.Stow = StowState{Cancelled: true}
		s.say(in, StowCancelled)
	}
	if s.Mode == LockedOut {
		return
	}
	if s.Power == PowerClearing || s.Power == PowerAsked {
		s.power(in, PowerOff)
	}
	if !busy {
		s.say(in, StoppedAtRest)
		return
	}
	s.lockOut(in, guard.Finding{Code: guard.None, Axis: guard.NoAxis})
	s.say(in, Stopped)
}

func (Release) obey(s *State, _ *Config, in *Inputs) {
	switch {
	case s.Mode != LockedOut:
		return
	case !s.Line.Connected:
		s.say(in, RefusedNothing)
		return
	case s.Verdict.Response >= guard.Trip:
		s.note(in, RefusedStands, s.Verdict.First.Code, s.Verdict.First.Axis, 0)
		return
	case s.Stop.Pending() || s.Rest.Moves:
		s.say(in, RefusedMoving)
		return
	}
	s.Lock = Lock{}
	s.Stop = StopNone
	s.ClearOnce = s.Power == PowerOff
	s.enter(Idle, in)
	s.say(in, Released)
}

func (m Power) obey(s *State, _ *Config, in *Inputs) {
	if !m.On {
		if s.Power != PowerOff {
			s.power(in, PowerOff)
			s.say(in, PowerWentOff)
		}
		s.rest(in)
		return
	}
	switch {
	case s.Power != PowerOff:
	case !m.Asked && !m.Announced:
		s.say(in, RefusedUnasked)
	case s.Mode == LockedOut:
		s.say(in, RefusedLocked)
	case !s.Line.Connected:
		s.say(in, RefusedNothing)
	case s.Verdict.RefusePower != guard.None:
		s.note(in, RefusedBy, s.Verdict.RefusePower, guard.NoAxis, 0)
	default:
		s.Stop = StopNone
		s.power(in, PowerClearing)
		s.say(in, PowerOrdered)
	}
}

func (Hold) obey(s *State, _ *Config, in *Inputs) {
	if s.Mode.active() {
		s.enter(Halting, in)
	}
}

func (m Jog) obey(s *State, c *Config, in *Inputs) {
	if s.mayMove(in) {
		s.jog(c, in, [2]float64{m.AzSpeed, m.ElSpeed}, false)
		s.start(c, in, Jogging, m.Asked)
	}
}

func (m Push) obey(s *State, c *Config, in *Inputs) {
	if s.mayMove(in) {
		s.jog(c, in, [2]float64{m.AzDrive, m.ElDrive}, true)
		s.start(c, in, Jogging, m.Asked)
	}
}

func (m Follow) obey(s *State, c *Config, in *Inputs) {
	if s.mayMove(in) && s.referenced(c, in, mount.AxisAngles{}) && s.mayFollow(in, m.Asked) {
		s.start(c, in, Following, m.Asked)
	}
}

func (m Slew) obey(s *State, c *Config, in *Inputs) {
	if s.mayMove(in) && s.referenced(c, in, m.To) && s.aim(c, in, m.To, false) {
		s.start(c, in, Slewing, m.Asked)
	}
}

func (m Setpoint) obey(s *State, c *Config, in *Inputs)   { s.moveSetpoint(c, in, m.To, false, m.Asked) }
func (m SetpointBy) obey(s *State, c *Config, in *Inputs) { s.moveSetpoint(c, in, m.By, true, m.Asked) }

func (m Working) obey(s *State, c *Config, in *Inputs) {
	s.Working = m.On
	if m.On {
		Power{}.obey(s, c, in)
	}
}

func (m OutputsTo) obey(s *State, _ *Config, _ *Inputs) {
	w := s.Slow.Wanted
	w.Outputs = m.Outputs & 0xff
	s.slow(w)
}

func (m BandTo) obey(s *State, _ *Config, _ *Inputs) {
	w := s.Slow.Wanted
	w.Band = uint16(m.Band & 0xf)
	s.slow(w)
}

func (m FeedTo) obey(s *State, _ *Config, _ *Inputs) {
	w := s.Slow.Wanted
	w.FeedTenths = int16(math.Round(max(-3276, min(3276, m.Angle.Deg())) * 10))
	s.slow(w)
}

func (m ToleranceTo) obey(s *State, _ *Config, _ *Inputs) {
	s.Axes[Azimuth].Tolerance, s.Axes[Elevation].Tolerance = m.Axes.Az, m.Axes.El
	s.OffLimit = m.OffLimit
}

func (m Quiet) obey(s *State, _ *Config, _ *Inputs) {
	s.Axes[Azimuth].Quiet, s.Axes[Elevation].Quiet = 0, 0
	if m.On {
		s.Axes[Azimuth].Quiet, s.Axes[Elevation].Quiet = m.Axes.Az, m.Axes.El
	}
}

func (CancelStart) obey(s *State, _ *Config, in *Inputs) {
	if s.Mode == Warning {
		s.enter(Halting, in)
		s.say(in, StartCancelled)
	}
}

func (CancelStow) obey(s *State, _ *Config, in *Inputs) {
	if s.Stow.Running {
		s.Stow = StowState{Cancelled: true}
		s.say(in, StowCancelled)
	}
}

func (WindowAlive) obey(s *State, _ *Config, in *Inputs) { s.Window, s.WindowAt = true, in.Now }
func (WindowGone) obey(s *State, _ *Config, _ *Inputs)   { s.Window = false }

// slow sets the slow orders.
func (s *State) slow(w enclosure.SlowOrders) {
	if w != s.Slow.Wanted {
		s.Slow.Wanted, s.Slow.Due, s.Slow.Sending = w, true, false
	}
}

// moveSetpoint changes where to hold, or where a slew goes, to an angle or by one.
func (s *State) moveSetpoint(c *Config, in *Inputs, v mount.AxisAngles, by, asked bool) {
	if !s.mayMove(in) || !s.referenced(c, in, v) || s.Mode != Holding && s.Mode != Slewing || !s.aim(c, in, v, by) {
		return
	}
	next := s.Mode
	if s.far(c) {
		next = Slewing
	}
	s.start(c, in, next, asked)
}

// start begins or changes a motion.
func (s *State) start(c *Config, in *Inputs, next Mode, asked bool) {
	s.Stop = StopNone
	s.RestSince = in.Now
	if s.Mode == Warning {
		if !asked {
			s.Pending = next
			return
		}
	} else if !asked && c.MotionWarning > 0 && !s.warned(c, in) && next != s.Mode {
		s.Pending, s.WarnEnd = next, in.Now+c.MotionWarning
		s.enter(Warning, in)
		s.say(in, StartAnnounced)
		return
	}
	s.enter(next, in)
}

// slewAbove is by how much a commanded angle may be changed while holding: above
// it the way there is a slew, which whatever ends slews ends. A nudge is less.
var slewAbove = unit.AngleFromDeg(2)

// far reports that an axis is to go further than a change while holding may be.
func (s *State) far(c *Config) bool {
	for i := range s.Axes {
		a := &s.Axes[i]
		if c.Axes[i].Fitted && a.HasSetpoint && math.Abs((a.Setpoint-a.position()).Rad()) > slewAbove.Rad() {
			return true
		}
	}
	return false
}

// warned reports that the dish moves already, or did a short while ago, so
// that a motion warning has nobody to warn.
func (s *State) warned(c *Config, in *Inputs) bool {
	switch s.Mode {
	case Halting, Jogging, Slewing, Following:
		return true
	}
	return s.MovedAt != 0 && in.Now-s.MovedAt < 2*c.MotionWarning
}

// mayMove says why a motion may not start; a jog or push asks no more than this.
func (s *State) mayMove(in *Inputs) bool {
	switch {
	case s.Mode == LockedOut:
		s.say(in, RefusedLocked)
	case s.Verdict.Refuse != guard.None:
		s.note(in, RefusedBy, s.Verdict.Refuse, guard.NoAxis, 0)
	case s.Power == PowerOff:
		s.say(in, RefusedPower)
	default:
		return true
	}
	return false
}

// referenced refuses a motion of an axis whose position is not trusted.
func (s *State) referenced(c *Config, in *Inputs, to mount.AxisAngles) bool {
	for i, v := range [...]unit.Angle{to.Az, to.El} {
		if c.Axes[i].Fitted && !math.IsNaN(v.Rad()) && !s.Axes[i].Trusted {
			s.note(in, RefusedUntrusted, guard.None, int8(i), 0)
			return false
		}
	}
	return true
}

// mayFollow says why the course may not be followed.
func (s *State) mayFollow(in *Inputs, asked bool) bool {
	switch {
	case !asked && s.Mode != Following && s.Guard.Stands(guard.ClockStepped):
		// What the clock alone began, as the rise of a target, waits for a press.
		s.note(in, RefusedBy, guard.ClockStepped, guard.NoAxis, 0)
	case in.Now > s.Course.End():
		s.say(in, RefusedCourse)
	default:
		return true
	}
	return false
}

// jog takes in a jog, slow where the position is not trusted, or a push.
func (s *State) jog(c *Config, in *Inputs, parts [2]float64, push bool) {
	s.JogEnd, s.Pushing = in.Now+c.JogLife, push
	for i, part := range parts {
		a, x := &s.Axes[i], &c.Axes[i]
		share := x.JogSpeed
		if !a.Trusted {
			share = min(share, x.Drive.Slow)
		}
		if s.Pushing {
			share = 1
		}
		a.Jog = max(-1, min(1, part)) * share * x.Drive.TopSpeed.Rad()
		a.HasSetpoint = false
	}
}

// aim takes in where to go, or by how much; false where that is out of bounds.
func (s *State) aim(c *Config, in *Inputs, to mount.AxisAngles, by bool) bool {
	setpoints := [2]float64{s.Axes[0].setpointOrPosition(), s.Axes[1].setpointOrPosition()}
	for i, v := range [...]float64{to.Az.Rad(), to.El.Rad()} {
		if math.IsNaN(v) || !c.Axes[i].Fitted {
			continue
		}
		if by {
			l := &c.Axes[i].Limits
			setpoints[i] = max(l.SoftLow.Rad(), min(l.SoftHigh.Rad(), setpoints[i]+v))
			continue
		}
		setpoints[i] = v
		if !c.Axes[i].Limits.Inside(unit.Angle(v)) {
			s.note(in, RefusedLimit, guard.None, int8(i), 0)
			return false
		}
	}
	if minimum, ok := c.Structures.Min(unit.Angle(setpoints[0])); ok && unit.Angle(setpoints[1]) < minimum &&
		!(by && to.El > 0) {
		s.say(in, RefusedStructure)
		return false
	}
	for i := range s.Axes {
		if c.Axes[i].Fitted && s.Axes[i].Trusted {
			s.Axes[i].Setpoint, s.Axes[i].HasSetpoint = unit.Angle(setpoints[i]), true
		}
	}
	return true
}

// setpointOrPosition is the setpoint, or else where the axis stands.
func (a *AxisState) setpointOrPosition() float64 {
	if a.HasSetpoint {
		return a.Setpoint.Rad()
	}
	return a.position().Rad()
}
