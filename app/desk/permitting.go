package desk

import (
	"math"
	"time"

	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Transmit is the transmitter as the sequencer shows it.
type Transmit struct {
	Keyed     bool
	Permitted bool // really permitted
	Unordered bool // really permitted, though the panel doesn't order it
	// Inhibits are all that stand against it now, requested or not; Ended is what
	// ended the last request, until the next.
	Inhibits  []permit.Inhibit
	Ended     permit.Inhibit
	Sequencer SequencerState
	Since     time.Time
}

// The loop's permit lapses when the desk is silent for permitLife; the desk renews it every permitEvery.
const (
	permitLife  = station.PermitLife
	permitEvery = 500 * time.Millisecond
)

// permitTold is what the loop was last told of the permit, and when.
type permitTold struct {
	On, Held  bool
	At, Since step.Nanos // Since: when it was requested
}

// watchedReadings are the readings that the permit watches, by their place in the block.
var watchedReadings = [permit.ReadingCount]int{
	permit.Relay: enclosure.RelaySupply, permit.CoolantIn: enclosure.CoolantIn, permit.CoolantOut: enclosure.CoolantOut,
	permit.CoolantFlow: enclosure.CoolantFlow, permit.ForwardPower: enclosure.ForwardPower,
	permit.ReflectedPower: enclosure.ReflectedPower,
}

// permitConfig are the conditions that the settings make.
func permitConfig(s *settings.Settings) permit.Config {
	p := s.Permit
	c := permit.Config{
		MinElevationDeg: p.MinElevationDeg, OffTargetBeamwidths: p.OffTargetBeamwidths, MaxSWR: p.MaxSWR,
		WhileSlewing: p.WhileSlewing,
	}
	if !p.NearSun {
		c.KeepFromSunDeg = s.Sun.KeepAwayDeg
	}
	for _, o := range s.ClosedSectors {
		sector := permit.Sector{Name: o.Name, Sector: guard.Sector{
			From: degrees(o.FromDeg), To: degrees(o.ToDeg), Low: degrees(o.FromElevationDeg),
			High: degrees(o.ToElevationDeg)}}
		for i, band := range s.Bands {
			for _, name := range o.Bands {
				if name == band.Name {
					sector.Bands = append(sector.Bands, i)
				}
			}
		}
		c.Sectors = append(c.Sectors, sector)
	}
	keys, nan := station.ReadingKeys(), math.NaN()
	for i, place := range watchedReadings {
		d := enclosure.Describe(place)
		c.Labels[i] = permit.Label{Name: watching.ReadingName(place), Unit: d.Unit, Decimals: d.Decimals}
		if i >= permit.Watched {
			continue
		}
		c.Limits[i] = permit.Limits{Low: nan, High: nan}
		if on := p.Coolant && i != permit.Relay || p.PreamplifierRelay && i == permit.Relay; on {
			l := s.Readings[keys[place]]
			c.Limits[i] = permit.Limits{Low: l.AlarmLow.Or(nan), High: l.AlarmHigh.Or(nan), Hysteresis: l.Hysteresis}
		}
	}
	return c
}

// permit decides the permit of the moment, tells the loop and says what ended or
// refused a request.
func (t *work) permit(sun mount.SkyDirection) {
	s := t.s
	in := t.permitInputs(sun)
	was := s.Permit.Given
	c := permitConfig(&t.c.Settings)
	out := permit.Step(&c, &s.Permit, &in)
	t.inhibits = out.Inhibits
	switch {
	case out.Refused.Code != permit.None:
		t.say(Warning, "permit.refused", out.Refused.Message())
	case out.Ended.Code != permit.None:
		t.say(Warning, "permit.withdrawn-again", out.Ended.Message())
	case was && !out.Give && s.Permit.Requested:
		t.say(Warning, "permit.inhibited", out.Inhibits[0].Message())
	}
	t.tellPermit()
}

// tellPermit passes the request and whether it is held on to the loop.
func (t *work) tellPermit() {
	p, told, now := &t.s.Permit, &t.s.PermitTold, t.in.Now
	held := !p.Given
	switch {
	case !p.Requested && told.On, !p.Requested && t.press.Withdraw:
		*told = permitTold{}
		t.ask(step.Permit{})
	case p.Requested && (t.press.Request || !told.On):
		*told = permitTold{On: true, Held: held, At: now, Since: now}
		t.ask(step.Permit{On: true, Asked: true, Held: held})
	case p.Requested && (held != told.Held || now-told.At >= permitEvery):
		told.Held, told.At = held, now
		t.ask(step.Permit{On: true, Held: held})
	}
}

// permitInputs are what the permit may know of the moment.
func (t *work) permitInputs(sun mount.SkyDirection) permit.Inputs {
	s, c, loop := t.s, t.c, t.in.Loop
	in := t.press
	in.Working = loop.Working || s.AtWork
	in.HandPanel = loop.Motion.State&enclosure.StateHand != 0
	in.Door = loop.Motion.State&enclosure.StateDoor != 0
	in.LinkLost = loop.Link.State != step.LinkGood && loop.Link.State != step.LinkWaiting
	in.Locked = loop.Mode == step.LockedOut
	in.Trips = uint16(loop.Motion.Trips)
	in.Band, in.Feed = s.Band, s.Feed
	if code := loop.Permit.Because; code != guard.None {
		switch row := guard.RowOf(code); {
		case row.Response >= guard.Trip:
			in.Guard = code
		case !row.EndsPermit: // those that do have their own inhibits
			in.Holds = code
		}
	}
	told := s.PermitTold
	in.Dropped = told.On && !loop.Permit.Requested && t.in.Now-told.Since > pointing.Acknowledge
	in.FastTime = t.in.TimeScale > 1
	in.Referenced = pointing.Referenced(t.in.Loop)
	in.Slewing = loop.Mode == step.Slewing || loop.Mode == step.Jogging
	is := pointing.AxesOf(loop)
	beam := s.chain(c).Sky(is)
	in.Az, in.El = beam.Az, beam.El
	in.BeamwidthDeg = c.Beamwidth(s.Band, s.Feed).Deg()
	if target, _, ok := c.Place(s.Choice, t.in.At); ok {
		in.HasTarget, in.OffDeg = true, mount.Apart(beam, target).Deg()
	}
	in.SunDeg = mount.Apart(beam, sun).Deg()
	for i, place := range watchedReadings {
		in.Readings[i] = loop.Readings.Value(place)
	}
	in.SequencerFault = loop.Readings.Value(enclosure.Sequencer) == enclosure.SequencerFault
	in.Keyed = loop.Permit.Keyed
	return in
}

// working sets or ends 'working at the dish': drive power goes off and the permit ends.
func (t *work) working(on bool) {
	t.s.AtWork = on
	t.ask(step.Working{On: on})
	if !on {
		t.say(Notice, "desk.nobody-at-dish")
		return
	}
	t.s.seek(noAim, t.in.Now)
	t.ask(step.Power{})
	t.say(Notice, "desk.working-at-dish")
}
