package step

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
)

// observation is the newest reply in the terms of the axes: ends as low and high,
// drives positive to rising angles.
type observation struct {
	Have                                 bool
	Powered, Hand, StopOpen, Door, Keyed bool
	Permitted                            bool
	Trips                                enclosure.Trips
	Millis                               uint32
	EndLow, EndHigh, Fault, Lost, OnMark [2]bool
	Current                              [2]float64
	Samples                              [2]motion.AxisSample
	Impossible                           [2]uint16
}

// asleepFor is the number of ticks from which a late one means that the computer gave the loop no time at all.
const asleepFor = 4

// observe takes in what came since the last step.
func (s *State) observe(c *Config, in *Inputs) {
	if in.Reply.Fresh {
		s.Line.Asleep = 0
	}
	if s.Line.Asleep == 0 && in.LateBy > asleepFor*c.Tick { // once: a loop that is late again and again still asks
		s.Line.Asleep = in.LateBy
	}
	if !in.Reply.Fresh {
		if s.Line.Connected {
			s.Line.Missed++
		}
		return
	}
	s.Line.Replies++
	if !s.Line.Connected {
		s.Line.Connected = true
		s.say(in, Connected)
	}
	s.Line.At = in.Reply.ReceivedAt
	s.Line.StartSeen = s.Line.StartSeen || s.startSeen(&in.Reply.Motion)
	s.clock(in)
	s.see(c, &in.Reply.Motion)
	// The counts of an enclosure that has started begin anywhere: they say nothing of where the axis was last.
	started := s.Line.StartSeen || !s.Line.HasStart || s.Line.Start != in.Reply.Motion.StartCounter
	for i := range s.Axes {
		a := &s.Axes[i]
		if !c.Axes[i].Fitted {
			continue
		}
		a.observe(&c.Axes[i], &s.Observed.Samples[i], in.Now)
		if a.Trusted && !started {
			a.Reference.LastCounts = s.Observed.Samples[i].Counts
		}
	}
	if s.Slow.Sending {
		s.Slow.Due, s.Slow.Sending = false, false
	}
}

// startSeen reports that the enclosure started since its last reply, even where a
// worn memory makes its counter of starts stand: the trip of a start, which nothing
// else sets, has come or, where it stood already, the time since start went back.
func (s *State) startSeen(m *enclosure.Motion) bool {
	if !s.Observed.Have || !m.Trips.Has(enclosure.TripStarted) {
		return false
	}
	return !s.Observed.Trips.Has(enclosure.TripStarted) || int32(m.Millis-s.Line.Millis) < 0
}

// clock ties the enclosure's clock to the loop's. The snapshot is taken when
// the request has arrived: about a third of the way from sending it to the end
// of its reply (25 of 74 bytes). The enclosure's clock tells the time between
// snapshots better than that guess; so the guess is averaged over some tens of replies.
func (s *State) clock(in *Inputs) {
	r := &in.Reply
	guess := r.SentAt + (r.ReceivedAt-r.SentAt)/3
	millis := r.Motion.Millis
	offset := guess - time.Duration(millis)*time.Millisecond
	l := &s.Line
	if off := offset - l.Offset; l.Replies < 2 || off.Abs() > 50*time.Millisecond {
		l.Offset = offset
	} else {
		l.Offset += off / 16
	}
	l.Millis = millis
	l.Snapshot = min(r.ReceivedAt, max(r.SentAt, time.Duration(millis)*time.Millisecond+l.Offset))
	l.Latency += (l.Snapshot - r.SentAt - l.Latency) / 8
}

// observe follows the counts of one axis.
func (a *AxisState) observe(c *AxisConfig, sample *motion.AxisSample, now Nanos) {
	before := a.Standing
	if !a.Motion.Have {
		a.Motion.Relocate(c.Scale, a.zero(), *sample)
		before = sample.Counts
	} else {
		a.Motion.Observe(&c.Drive, c.Scale, a.zero(), *sample)
	}
	if sample.Counts != before {
		a.MovedAt = now
	}
	a.Standing = sample.Counts
}

// zero is the one in force: trusted, else offered, else counts from 0.
func (a *AxisState) zero() (z mount.Zero) {
	switch {
	case a.Trusted:
		return a.Reference.Zero
	case a.HasOffer:
		return a.Offered
	}
	return z
}

// facts shows the guards what they may know.
func (s *State) facts(c *Config, in *Inputs) guard.Facts {
	n := &s.Observed
	f := guard.Facts{
		Now: in.Now, Connected: s.Line.Connected, Fresh: in.Reply.Fresh, ReplyAge: in.Now - s.Line.At,
		Millis: n.Millis, WrongMap: s.wrongMap(c, in), Restarted: s.Line.Restarted, LateBy: in.LateBy,
		Ours: s.ours(), Powered: n.Powered, Asked: in.Now - s.AskedAt, PowerConfirmed: s.Confirmed,
		Active: s.Mode.active(), Slewing: s.Mode == Slewing, Jogging: s.Mode == Jogging, Following: s.Mode == Following,
		Stopped: s.Stop != StopNone || s.Mode == LockedOut, WindowExpected: s.Window, WindowAge: in.Now - s.WindowAt,
		WatchdogTrip: n.Trips.Has(enclosure.TripWatchdog), PowerTrip: n.Trips.Has(enclosure.TripPower),
		StopTrip: n.Trips.Has(enclosure.TripStop), HandTrip: n.Trips.Has(enclosure.TripHand), Asleep: s.Line.Asleep,
		StopOpen: n.StopOpen, HandPanel: n.Hand, Door: n.Door, Work: s.Working,
		Structure: s.structure(c, in), WallStep: s.wallStep(in), PermitRequested: s.Permit.Requested, Keyed: n.Keyed,
		OffTarget: s.Mode == Following && s.OffLimit > 0 && s.offBy() > s.OffLimit, SunAngle: s.sunAngle(in),
		HasSun: in.HasSun && s.trusted(c),
	}
	f.Acquiring = s.acquire(c)
	f.ReadingsAge = in.Now - min(in.ReadingsAt[0], in.ReadingsAt[1])
	_, _, _, covered := s.Course.At(in.Now, Azimuth)
	f.CourseOver = !covered
	if in.HasClockOffset {
		f.ClockOffset = in.ClockOffset
	}
	s.readings(in, &f)
	for i := range f.Axes {
		f.Axes[i] = s.axisFacts(c, in, i)
	}
	f.AzDirection, f.ElDirection = f.Axes[Azimuth].Position, f.Axes[Elevation].Position
	return f
}

// acquire follows whether the dish is still on its way to what it follows: until
// it is within tolerance, and again when it is off by four times as much, which
// no gust of a wind that it may stand in brings about.
func (s *State) acquire(c *Config) bool {
	if s.Mode != Following {
		s.Acquired = false
		return false
	}
	within, far := true, false
	for i := range s.Axes {
		a := &s.Axes[i]
		if !c.Axes[i].Fitted {
			continue
		}
		off := math.Abs((a.Setpoint - a.position()).Rad())
		near := max(a.Tolerance, a.Quiet, 2*c.Axes[i].Scale.Step).Rad()
		within = within && a.HasSetpoint && off <= near
		far = far || off > 4*near
	}
	s.Acquired = within || s.Acquired && !far
	return !s.Acquired
}

func (s *State) axisFacts(c *Config, in *Inputs, i int) guard.AxisFacts {
	a, n := &s.Axes[i], &s.Observed
	f := guard.AxisFacts{
		Counts:  n.Samples[i].Counts * int32(c.Axes[i].Scale.Direction),
		Applied: n.Samples[i].Applied, Demand: a.Motion.Demanded(), CurrentA: n.Current[i],
		EndLow: n.EndLow[i], EndHigh: n.EndHigh[i], DriveFault: n.Fault[i], EncoderFault: n.Lost[i],
		Impossible: n.Impossible[i], Trusted: a.Trusted, Position: a.position(), Goal: a.Goal, Pursued: a.Pursued,
		Gain: a.Motion.Learned.Gain,
	}
	if a.Motion.LoadKnown {
		f.Load = a.Motion.Learned.Dead
	}
	switch s.Mode {
	case Following:
		angle, _, _, ok := s.Course.At(in.Now, i)
		f.Commanded, f.HasCommand = angle, ok
	case Slewing, Holding:
		f.Commanded, f.HasCommand = a.Setpoint, a.HasSetpoint
	case Jogging:
		f.Commanded, f.HasCommand = a.position(), a.Jog != 0
		if a.Jog > 0 {
			f.Commanded += 4 * c.Axes[i].Scale.Step
		} else {
			f.Commanded -= 4 * c.Axes[i].Scale.Step
		}
	}
	motor := enclosure.AzimuthMotorTemperature
	if i == Elevation {
		motor = enclosure.ElevationMotorTemperature
	}
	f.MotorC = in.Readings.Value(motor)
	return f
}

func (s *State) readings(in *Inputs, f *guard.Facts) {
	r := &in.Readings
	f.DriveSupplyV, f.StageC = r.Value(enclosure.DriveSupply), r.Value(enclosure.DriveStageTemperature)
	f.WindMean, f.WindGust = r.Value(enclosure.WindMean), r.Value(enclosure.WindGust)
	f.RelayV = r.Value(enclosure.RelaySupply)
	f.ForwardW, f.ReflectedW = r.Value(enclosure.ForwardPower), r.Value(enclosure.ReflectedPower)
	f.CoolantC, f.FlowLitres = r.Value(enclosure.CoolantOut), r.Value(enclosure.CoolantFlow)
	f.SequencerFault = r.Value(enclosure.Sequencer) == enclosure.SequencerFault
	bad := func(i int) bool { _, implausible := r.Implausible(i); return implausible }
	f.Implausible = guard.Sensors{
		Supply: bad(enclosure.DriveSupply), Stage: bad(enclosure.DriveStageTemperature), Gust: bad(enclosure.WindGust),
		Relay: bad(enclosure.RelaySupply), Reflected: bad(enclosure.ReflectedPower),
		Forward: bad(enclosure.ForwardPower), Coolant: bad(enclosure.CoolantOut), Flow: bad(enclosure.CoolantFlow),
		Motor: [2]bool{bad(enclosure.AzimuthMotorTemperature), bad(enclosure.ElevationMotorTemperature)},
	}
	f.WindFitted = in.HasIdentity && in.Identity.Fitted.Has(enclosure.FittedWind)
}

// see turns a motion reply into the terms of the axes.
func (s *State) see(c *Config, m *enclosure.Motion) {
	n := &s.Observed
	is := func(bits uint16) bool { return m.State&bits != 0 }
	*n = observation{
		Have: true, Powered: is(enclosure.StatePower), Hand: is(enclosure.StateHand),
		StopOpen: is(enclosure.StateStopOpen),
		Keyed:    is(enclosure.StateKeyed), Door: is(enclosure.StateDoor),
		Permitted: m.More&enclosure.MorePermitted != 0,
		Trips:     m.Trips, Millis: m.Millis, Impossible: m.Impossible,
	}
	for i := range s.Axes {
		x := m.Axis(i)
		n.EndHigh[i], n.EndLow[i], n.OnMark[i] = x.Upper, x.Lower, x.OnMark
		n.Fault[i] = x.Fault || m.Trips.Has(enclosure.DriveTrip(i)) && s.ours()
		n.Lost[i] = x.Lost || m.Trips.Has(enclosure.EncoderTrip(i))
		n.Current[i] = math.NaN()
		if x.Current != enclosure.NotFitted {
			n.Current[i] = float64(x.Current) / 100
		}
		applied := float64(x.Applied) / enclosure.FullDrive
		if c.Axes[i].Drive.Reversed {
			applied = -applied
		}
		n.Samples[i] = motion.AxisSample{
			Counts: x.Counts, Upward: x.Upward, Since: time.Duration(x.Since) * time.Millisecond,
			KnownSince: x.Since != enclosure.SinceUnknown,
			At:         s.Line.Snapshot, Applied: applied, HasCurrent: x.Current != enclosure.NotFitted,
			Current: float64(x.Current) / 100,
		}
		if c.Axes[i].Drive.Reversed {
			n.Samples[i].Current *= -1
		}
	}
}

// ours reports that the loop wants drive power on.
func (s *State) ours() bool { return s.Power == PowerAsked || s.Power == PowerOn }
