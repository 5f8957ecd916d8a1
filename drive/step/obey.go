package step

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// command obeys one command, or says why not.
func (s *State) command(c *Config, in *Inputs, m *Command) {
	if m.Kind != Stop && !m.finite() { // a Stop needs no figures
		s.say(in, NoSuchNumber)
		return
	}
	switch m.Kind {
	case Stop:
		s.stop(in)
	case Release:
		s.release(in)
	case Power:
		s.switchPower(in, m)
	case Hold:
		if s.Mode.active() {
			s.enter(Halting, in)
		}
	case Slew, Follow, Jog, Push, Setpoint, SetpointBy:
		s.start(c, in, m)
	case Reference, TrustOffered, Distrust:
		s.refer(c, in, m)
	case Working:
		s.Working = m.On
		if m.On {
			s.switchPower(in, &Command{Kind: Power})
		}
	case Permit:
		s.requestPermit(c, in, m)
	case OutputsTo, BandTo, FeedTo:
		s.slow(m)
	case ToleranceTo:
		s.Axes[Azimuth].Tolerance, s.Axes[Elevation].Tolerance = m.Az, m.El
		s.OffLimit = m.Limit
	case Quiet:
		s.Axes[Azimuth].Quiet, s.Axes[Elevation].Quiet = 0, 0
		if m.On {
			s.Axes[Azimuth].Quiet, s.Axes[Elevation].Quiet = m.Az, m.El
		}
	case CancelStart:
		if s.Mode == Warning {
			s.enter(Halting, in)
			s.say(in, StartCancelled)
		}
	case CancelStow:
		if s.Stow.Running {
			s.Stow = StowState{Cancelled: true}
			s.say(in, StowCancelled)
		}
	case WindowAlive:
		s.Window, s.WindowAt = true, in.Now
	case WindowGone:
		s.Window = false
	}
}

// finite reports that a command holds only numbers; NaN is allowed where it
// means 'leave this axis alone'.
func (m *Command) finite() bool {
	keeps := m.Kind == Slew || m.Kind == Setpoint || m.Kind == SetpointBy
	for _, v := range [...]float64{m.Az.Rad(), m.El.Rad()} {
		if math.IsInf(v, 0) || math.IsNaN(v) && !keeps || math.Abs(v) > 100 {
			return false
		}
	}
	sum := m.AzDrive + m.ElDrive + m.Limit.Rad()
	return !math.IsNaN(sum) && !math.IsInf(sum, 0) && m.Axis >= 0 && m.Axis < 2
}

// stop ends every motion at once. Where nothing moved it does not lock out.
func (s *State) stop(in *Inputs) {
	busy := s.Mode.active() || s.moving(in) || !s.atRest() || s.Power == PowerClearing || s.Power == PowerAsked
	s.Stop, s.StandAt = StopAsked, in.Now
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

// release ends a lock-out whose cause is gone. Nothing starts by it.
func (s *State) release(in *Inputs) {
	switch {
	case s.Mode != LockedOut:
		return
	case !s.Line.Connected:
		s.say(in, RefusedNothing)
		return
	case s.Verdict.Response >= guard.Trip:
		s.note(in, RefusedStands, s.Verdict.First.Code, s.Verdict.First.Axis, 0)
		return
	case s.Stop == StopAsked:
		s.say(in, RefusedMoving)
		return
	}
	s.Lock = Lock{}
	s.Stop = StopNone
	s.ClearOnce = s.Power == PowerOff
	s.enter(Idle, in)
	s.say(in, Released)
}

// switchPower asks for drive power, or takes it off.
func (s *State) switchPower(in *Inputs, m *Command) {
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

// slow sets one of the slow orders.
func (s *State) slow(m *Command) {
	w := s.Slow.Wanted
	switch m.Kind {
	case OutputsTo:
		w.Outputs = enclosure.Outputs(m.Value & 0xff)
	case BandTo:
		w.Band = uint16(m.Value & 0xf)
	case FeedTo:
		w.FeedTenths = int16(math.Round(max(-3276, min(3276, m.Az.Deg())) * 10))
	}
	if w != s.Slow.Wanted {
		s.Slow.Wanted, s.Slow.Due, s.Slow.Sending = w, true, false
	}
}

// start begins or changes a motion.
func (s *State) start(c *Config, in *Inputs, m *Command) {
	if !s.mayMove(c, in, m) {
		return
	}
	var next Mode
	switch m.Kind {
	case Jog, Push:
		next = Jogging
		s.jog(c, in, m)
	case Follow:
		next = Following
	case Slew:
		next = Slewing
		if !s.aim(c, in, m) {
			return
		}
	case Setpoint, SetpointBy:
		if s.Mode != Holding && s.Mode != Slewing || !s.aim(c, in, m) {
			return
		}
		if next = s.Mode; s.far(c) {
			next = Slewing
		}
	}
	s.Stop = StopNone
	s.RestSince = in.Now
	if s.Mode == Warning {
		if !m.Asked {
			s.Pending = next
			return
		}
	} else if !m.Asked && c.MotionWarning > 0 && !s.warned(c, in) && next != s.Mode {
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

// mayMove says why a motion may not start; a jog or push needs no trusted position.
func (s *State) mayMove(c *Config, in *Inputs, m *Command) bool {
	switch {
	case s.Mode == LockedOut:
		s.say(in, RefusedLocked)
	case s.Verdict.Refuse != guard.None:
		s.note(in, RefusedBy, s.Verdict.Refuse, guard.NoAxis, 0)
	case s.Power == PowerOff:
		s.say(in, RefusedPower)
	default:
		if m.Kind == Jog || m.Kind == Push {
			return true
		}
		for i := range s.Axes {
			wants := m.Kind == Follow || i == Azimuth && !math.IsNaN(m.Az.Rad()) ||
				i == Elevation && !math.IsNaN(m.El.Rad())
			if c.Axes[i].Fitted && wants && !s.Axes[i].Trusted {
				s.note(in, RefusedUntrusted, guard.None, int8(i), 0)
				return false
			}
		}
		if m.Kind == Follow && !m.Asked && s.Mode != Following && s.Guard.Stands(guard.ClockStepped) {
			// What the clock alone began, as the rise of a target, waits for a press.
			s.note(in, RefusedBy, guard.ClockStepped, guard.NoAxis, 0)
			return false
		}
		if m.Kind == Follow && in.Now > s.Course.End() {
			s.say(in, RefusedCourse)
			return false
		}
		return true
	}
	return false
}

// jog takes in a jog, slow where the position is not trusted, or a push.
func (s *State) jog(c *Config, in *Inputs, m *Command) {
	s.JogEnd, s.Pushing = in.Now+c.JogLife, m.Kind == Push
	for i, part := range [...]float64{m.AzDrive, m.ElDrive} {
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

// aim takes in where to go; false where that is out of bounds.
func (s *State) aim(c *Config, in *Inputs, m *Command) bool {
	want := [2]float64{s.Axes[0].setpointOrPosition(), s.Axes[1].setpointOrPosition()}
	for i, v := range [...]float64{m.Az.Rad(), m.El.Rad()} {
		if math.IsNaN(v) || !c.Axes[i].Fitted {
			continue
		}
		if m.Kind == SetpointBy {
			l := &c.Axes[i].Limits
			want[i] = max(l.SoftLow.Rad(), min(l.SoftHigh.Rad(), want[i]+v))
			continue
		}
		want[i] = v
		if !c.Axes[i].Limits.Inside(unit.Angle(v)) {
			s.note(in, RefusedLimit, guard.None, int8(i), 0)
			return false
		}
	}
	if least, ok := c.Structures.Least(unit.Angle(want[0])); ok && unit.Angle(want[1]) < least &&
		!(m.Kind == SetpointBy && m.El > 0) {
		s.say(in, RefusedStructure)
		return false
	}
	for i := range s.Axes {
		if c.Axes[i].Fitted && s.Axes[i].Trusted {
			s.Axes[i].Setpoint, s.Axes[i].HasSetpoint = unit.Angle(want[i]), true
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

// refer obeys the commands about what makes counts into an angle.
func (s *State) refer(c *Config, in *Inputs, m *Command) {
	i := int(m.Axis)
	a := &s.Axes[i]
	switch {
	case m.Kind == Distrust:
		s.distrust(in, i)
	case !s.Observed.Have || !c.Axes[i].Fitted:
		s.say(in, RefusedNothing)
	case s.Observed.Lost[i]:
		s.note(in, RefusedEncoder, guard.None, int8(i), 0)
	case m.Kind == TrustOffered && !a.HasOffer:
	case s.Limits.Axes[i].FarFrom(s.Observed.EndLow[i], s.Observed.EndHigh[i], s.told(m)):
		s.note(in, RefusedEnd, guard.None, int8(i), 0)
	case m.Kind == TrustOffered:
		s.trust(c, in, i, a.Offered, mount.ByHand)
	case m.Kind == Reference:
		z := c.Axes[i].Scale.ZeroAt(s.Observed.Samples[i].Counts, m.Az)
		if a.Trusted || a.HasOffer {
			// What is known between two counts is kept.
			z = a.zero()
			z.Angle += m.Az - a.position()
		}
		s.trust(c, in, i, z, mount.Origin(m.Origin))
	}
}

// told is where a reference would have its axis stand.
func (s *State) told(m *Command) unit.Angle {
	if m.Kind == TrustOffered {
		return s.Axes[m.Axis].position()
	}
	return m.Az
}
