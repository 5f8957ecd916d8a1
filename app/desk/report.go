package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem/locator"
)

// status puts everything that may be known together.
func (t *work) status() *Status {
	s, c, in, loop := t.s, t.c, t.in, t.in.Loop
	s.Number++
	st := &Status{
		Number: s.Number, At: in.At, Practice: c.Practice, TimeScale: in.TimeScale,
		Station: stationOf(c),
		Target:  t.target(),
		Bodies:  t.bodies(), Sources: t.sources(), Places: s.Places,
		Activity: t.activity(),
		Power:    powerState(loop.Power), Stop: loop.Stop, Moving: loop.Moving, Working: loop.Working,
		Halting: loop.Mode == step.Halting, PermitRequested: s.Permit.Requested,
		Band: bandOf(c, s.Band, s.Feed), BandIndex: s.Band, Feed: s.Feed,
		Readings: s.Watch.Shown(c, loop, in.At), Switches: watching.Switches(loop),
		Lateness: Lateness{loop.Lateness.P50, loop.Lateness.P99, loop.Lateness.P999, loop.Lateness.Ticks},
	}
	st.Scene = t.scene()
	st.Proposal, st.Acquiring, st.ArrivesIn = t.proposed(), s.Aim == trackAim && !s.Acquired, s.ArrivesIn
	st.Destination, st.Legs, st.StowCancelled = t.destination(), t.legsLeft(), loop.StowCancelled
	for i := range st.Axes {
		st.Axes[i] = t.axis(i)
		st.MotorStartsPerHour[i] = loop.Axes[i].StartsPerHour
	}
	t.offsets(st)
	st.Referencing = t.referencing()
	st.Trim = t.trimStatus()
	st.Lock = t.lock()
	st.Starting, st.StartingIn = t.starting()
	st.Transmit = t.transmit()
	st.Link = t.link()
	for _, e := range s.Watch.Alarms.Entries {
		st.Alarms = append(
			st.Alarms,
			Alarm{
				Number:       e.Number,
				Grade:        e.Grade,
				Words:        e.Words,
				Next:         e.Next,
				Since:        e.Since,
				Acknowledged: e.Acknowledged,
				Stands:       e.Stands,
				ShelvedUntil: e.ShelvedUntil,
			},
		)
	}
	m := measuring.Show(c, &s.Measuring, t.measuringInputs())
	st.Noise, st.Peak, st.Survey, st.Receiving, st.Check = m.Noise, m.Peak, m.Survey, m.Receiving, m.Check
	st.OffSource, st.Trims, st.Commissioning = s.Excursion.Sideways, s.Trims, s.Commissioning.Published
	st.Preamplifier = s.Outputs&enclosure.OutputPreamplifier != 0
	st.NoiseSource = s.Outputs&enclosure.OutputNoiseSource != 0
	path := radio.Step(c, &s.Radio, &radio.Inputs{
		At: in.At, Band: s.Band, Feed: s.Feed, SunFlux: t.solarFlux(),
		ClockOffset: in.ClockOffset, HasClockOffset: in.HasClockOffset, Dialled: in.Dialled,
	})
	st.Radio, st.Then, st.Period, st.Plan, st.Armed = path.Path, path.Then, path.Period, path.Plan, t.armedStatus()
	st.Skeds, st.OwnEcho = path.Skeds, t.echoesStatus(path.Path)
	st.PlanMonth, st.Dates, st.PlanWith = s.Radio.Month.Offset, s.Radio.Month.Dates, s.Radio.PlanPartners()
	st.Shading, st.Shaded = path.Shading, s.Radio.Shading.On
	st.Bodies = t.thenBody(st.Bodies)
	return st
}

func stationOf(c *Config) Station {
	s := c.Settings.Station
	square, err := locator.Of(degrees(s.LatitudeDeg), degrees(s.LongitudeDeg), 6)
	if err != nil {
		square = ""
	}
	return Station{
		Name:    s.Name,
		Locator: square,
		Lat:     degrees(s.LatitudeDeg),
		Lon:     degrees(s.LongitudeDeg),
		HeightM: s.HeightM,
	}
}

func powerState(p step.PowerState) PowerState {
	switch p {
	case step.PowerOn:
		return PowerOn
	case step.PowerOff:
		return PowerOff
	}
	return PowerComingOn
}

// activity follows from what the desk is after and what the loop does.
func (t *work) activity() Activity {
	loop := t.in.Loop
	switch {
	case loop.Mode == step.LockedOut:
		return LockedOut
	case t.s.Aim == trackAim:
		return Tracking
	case t.s.Aim == waitAim:
		return Waiting
	case t.s.Aim == slewAim:
		return Slewing
	case t.s.Aim == parkAim:
		return Parking
	case t.s.Aim == windAim, t.s.Aim == snowAim:
		return Stowing
	case t.s.Aim == parkedAim:
		return Parked
	case t.s.Aim == stowedAim:
		return Stowed
	case loop.Mode == step.Jogging:
		return Jogging
	case loop.Mode == step.Slewing:
		return Slewing
	case loop.Mode == step.Idle:
		return Idle
	}
	return Holding
}

// endedEarly says that the slew to what the aim is after came to nothing.
func (a aim) endedEarly() message.Code {
	switch a {
	case parkAim:
		return "slew.ended-park"
	case windAim:
		return "slew.ended-wind"
	case snowAim:
		return "slew.ended-snow"
	}
	return "slew.ended-place"
}

func (t *work) destination() message.Message {
	switch s := t.s; s.Aim {
	case trackAim, waitAim:
		return message.Of("destination.target", t.s.Choice.InWords())
	case slewAim:
		return message.Of(
			"destination.place",
			finite(s.Place.Az.Deg(), t.in.Loop.Axes[0].Position.Deg()),
			finite(s.Place.El.Deg(), t.in.Loop.Axes[1].Position.Deg()),
		)
	case parkAim, parkedAim:
		return message.Of("destination.park")
	case windAim:
		return message.Of("destination.wind-stow")
	case snowAim:
		return message.Of("destination.snow-stow")
	}
	return message.Message{}
}

func (t *work) axis(i int) Axis {
	a := &t.in.Loop.Axes[i]
	out := Axis{
		Fitted: a.Fitted, Trusted: a.Trusted, Position: a.Position, Estimated: a.Estimated, Setpoint: a.Setpoint,
		HasSetpoint: a.HasSetpoint, ArrivesIn: station.Seconds(a.ArrivesInSeconds),
		RatePerS: unit.Angle(a.Rate), Applied: a.Applied, CurrentA: a.CurrentA, EndLow: a.EndLow, EndHigh: a.EndHigh,
		Moving: a.Moving, Counts: a.Counts, Offered: a.Offered, HasOffer: a.HasOffer, StepDeg: a.Step.Deg(),
	}
	switch {
	case a.Trusted:
		out.Origin = message.Of("origin.reference", a.Reference.Origin)
		out.OriginAt = time.Unix(0, a.Reference.AtUnixNanos).UTC()
	case a.HasOffer && a.OfferedOrigin == mount.ByMark:
		out.Origin = message.Of("origin.mark")
	case a.HasOffer:
		out.Origin = message.Of("origin.kept")
	}
	return out
}

// offsets are the angles on the sky between commanded, is and target.
func (t *work) offsets(st *Status) {
	loop := t.in.Loop
	commanded := pointing.Commanded(loop)
	is := pointing.AxesOf(loop)
	st.Off = mount.Apart(commanded, is)
	chain := t.s.chain(t.c)
	beam := chain.Sky(is)
	target := mount.SkyDirection{Az: st.Target.Az, El: st.Target.El}
	o := target.OffsetTo(beam)
	st.OffCross, st.OffEl = o.Cross, o.El
	off := mount.Apart(target, beam)
	st.EchoLossDB = pointing.LossDB(off, st.Band.HalfPower)
}

func (t *work) trimStatus() Trim {
	s := t.s
	o := s.trim(t.c)
	band, feed := t.c.Names(s.Band, s.Feed)
	words := band
	if len(t.c.Settings.Bands[s.Band].Feeds) > 1 {
		words += " " + feed
	}
	kind := map[BodyKind]string{Moon: "Moon", Sun: "Sun", Source: "sources", Radec: "entered places",
		Fixed: "fixed places"}[s.Choice.Kind]
	sun := s.Trims.Of(band, feed, Sun)
	return Trim{
		OfSun:       sun,
		HasSun:      s.Choice.Kind == Moon && sun != o && sun != (mount.Offset{}),
		CrossEl:     o.Cross,
		El:          o.El,
		For:         words + ", " + kind,
		CanGoBack:   s.HasBack,
		BackCrossEl: s.Back.Cross,
		BackEl:      s.Back.El,
	}
}

func (t *work) lock() Lock {
	l := t.in.Loop.Lock
	if !l.Locked {
		return Lock{}
	}
	out := Lock{
		Locked:     true,
		Since:      t.ago(l.At),
		Releasable: l.Releasable,
		Stopped:    l.Cause.Code == guard.None,
		Cause:      message.Of("lock.stopped"),
		Next:       message.Of("lock.next"),
	}
	if l.Cause.Code != guard.None {
		f := watching.Finding(l.Cause)
		out.Cause, out.Next = f.Words, f.Next
	} else if l.Kept {
		out.Cause = message.Of("lock.kept")
	}
	return out
}

func (t *work) starting() (what message.Message, in time.Duration) {
	loop := t.in.Loop
	switch {
	case loop.StartsInSeconds > 0:
		what, in = message.Of("starting.dish"), station.Seconds(loop.StartsInSeconds)
		if to := t.destination(); to.Code != "" {
			what = message.Of("starting.dish-for", to)
		}
	case loop.StowsInSeconds > 0:
		what, in = t.stowing(), station.Seconds(loop.StowsInSeconds)
	case t.s.Measuring.Rounds.Running && t.s.Measuring.Rounds.PowersAt != 0:
		what, in = message.Of("starting.survey-power"), t.s.Measuring.Rounds.PowersAt-t.in.Now
	case t.s.Armed.Has && !t.s.Armed.Question && !t.s.Armed.UnderWay && !t.in.At.Before(t.s.Armed.Leaves):
		what = message.Of("armed.starts", t.s.Armed.Choice.InWords())
		in = t.s.Armed.Leaves.Add(announceArmed).Sub(t.in.At)
	}
	return what, in
}

// stowing is the announced wind stow with the wind that is above its limit; without it where it has dropped again.
func (t *work) stowing() message.Message {
	gust, mean := t.in.Loop.Readings.Value(enclosure.WindGust), t.in.Loop.Readings.Value(enclosure.WindMean)
	l := &t.c.Drive.Guard
	speed := func(v float64) message.Figure { return message.Figure{Value: v, Decimals: 1, Unit: "m/s"} }
	switch {
	case l.WindGust > 0 && gust > l.WindGust:
		return message.Of("starting.wind-stow-gust", speed(gust), l.WindGust)
	case l.WindMean > 0 && mean > l.WindMean:
		return message.Of("starting.wind-stow-mean", speed(mean), l.WindMean)
	}
	return message.Of("starting.wind-stow")
}

func (t *work) transmit() Transmit {
	s, loop := t.s, t.in.Loop
	value := loop.Readings.Value(enclosure.Sequencer)
	if !math.IsNaN(value) && (value != s.Sequencer || s.SequenceAt.IsZero()) {
		s.Sequencer, s.SequenceAt = value, t.in.At
	}
	out := Transmit{
		Keyed:     loop.Permit.Keyed,
		Permitted: loop.Permit.Granted,
		Unordered: s.Watch.Unordered,
		Sequencer: watching.SequencerOf(value),
		Since:     s.SequenceAt,
	}
	out.Inhibits, out.Ended = t.inhibits, s.Permit.Ended
	return out
}

func (t *work) link() Link {
	s, loop, in := t.s, t.in.Loop, t.in
	if r := &s.Rate; in.Now-r.At >= time.Second || r.At == 0 {
		if r.At != 0 && loop.Link.Replies >= r.Replies {
			r.PerSecond = float64(loop.Link.Replies-r.Replies) / (in.Now - r.At).Seconds()
		}
		r.At, r.Replies = in.Now, loop.Link.Replies
	}
	if s.LinkSince.IsZero() {
		s.LinkSince = in.At
	}
	out := Link{
		State:     loop.Link.State,
		Heard:     loop.HasMotion,
		Port:      in.Port,
		PerSecond: s.Rate.PerSecond,
		Errors:    in.Around.Line.Errors,
		Since:     s.LinkSince,
		LastReply: loop.Link.Age,
		Refused:   in.Around.Line.Refused,
		Words:     message.Text(in.Around.Line.Trouble),
	}
	if in.Around.Line.Trouble != "" && out.State == LinkOpening {
		out.State = LinkRefused // the port itself is the trouble, and says what
	}
	if loop.Link.State == LinkRefused {
		out.Words = t.refused(&loop.Identity)
	}
	for i := range out.Impossible {
		out.Impossible[i] = uint64(loop.Motion.Impossible[i])
	}
	return out
}

// refused says what about an identity the panel can't work with.
func (t *work) refused(identity *enclosure.Identity) message.Message {
	if identity.MapVersion != enclosure.MapVersion {
		return message.Of("link.map", identity.MapVersion, enclosure.MapVersion)
	}
	for axis := range t.c.Drive.Axes {
		if t.c.Drive.Axes[axis].Fitted && !identity.Fitted.Axis(axis) {
			return message.Of("link.unfitted", mount.AxisName(axis))
		}
	}
	return message.Message{}
}

// ago is a moment of the loop as time of the sky.
func (t *work) ago(at step.Nanos) time.Time {
	return t.in.At.Add(-(t.in.Now - at) * time.Duration(max(1, t.in.TimeScale)))
}
