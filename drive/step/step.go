package step

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
)

// Step makes one step: it takes in what came, lets the guards judge, obeys the
// commands, plans the motion and gives the orders for the enclosure. The only
// thing it changes is *s. It must be called once for every tick, and the orders
// sent at once.
func Step(c *Config, s *State, in *Inputs) Outputs {
	s.Tick++
	if s.Tick == 1 {
		s.Last, s.LastUTC = in.Now, in.WallNanos
	}
	s.Limits = c.guards(in)
	s.observe(c, in)
	s.identify(c, in)
	s.Facts = s.facts(c, in)
	s.judge(c, in, guard.Judge(&s.Limits, &s.Facts, &s.Guard))
	s.follow(c, in)
	for i := range min(max(in.CommandCount, 0), MaxCommands) {
		s.command(c, in, in.Commands[i])
	}
	s.proceed(c, in)
	s.supply(in)
	s.plan(c, in)
	s.settle(c, in)
	out := s.orders(c, in)
	s.Last, s.LastUTC = in.Now, in.WallNanos
	return out
}

// endDoubt is how far from its setting an end switch may stand, beside what the
// dish travels before it stops.
var endDoubt = unit.AngleFromDeg(2)

// guards is what the rows know of the station.
func (c *Config) guards(in *Inputs) guard.Config {
	g := guard.Config{Limits: c.Guard, Tick: c.Tick}
	for i := range c.Axes {
		a := &c.Axes[i]
		d := &a.Drive
		g.Axes[i] = guard.AxisConfig{
			Fitted: a.Fitted, Step: a.Scale.Step, Backlash: d.Backlash, Coast: d.Coast, TopSpeed: d.TopSpeed,
			Acceleration: d.Acceleration,
			Lag:          d.Lag + c.Tick, MinDrive: d.MinDrive, SoftLow: a.Limits.SoftLow,
			SoftHigh: a.Limits.SoftHigh,
			EndLow:   a.Limits.EndLow, EndHigh: a.Limits.EndHigh, EndMargin: d.Margin(c.Watchdog) + endDoubt,
			IdleA: a.IdleA, StallA: a.StallA, RatedA: a.RatedA, MaxStallTime: a.MaxStallTime,
			Ramp: d.Ramp, Speeds: d.Speeds, Slowest: d.Slowest(),
		}
		if in.HasIdentity {
			g.Axes[i].Ramp = max(d.Ramp, time.Duration(in.Identity.RampMillis[i])*time.Millisecond)
		}
	}
	return g
}

// judge acts on what the guards found.
func (s *State) judge(c *Config, in *Inputs, v guard.Verdict) {
	for i := range v.Count {
		if v.New[i] {
			s.note(in, Found, v.Found[i].Code, v.Found[i].Axis, 0)
		}
	}
	s.sayGone(in, &v)
	s.Verdict = v
	s.distrustBy(in, &v)
	if v.Response >= guard.Trip {
		s.trip(c, in, &v)
	}
	if s.Mode == Jogging && v.RestJog || s.Mode != Jogging && s.Mode.active() && (v.Rest || s.againstEnd()) {
		s.enter(Halting, in)
	}
	if s.Observed.Hand && s.Power != PowerOff {
		s.power(in, PowerOff)
		s.rest(in)
	}
	s.stow(c, in, v.Stow)
}

// againstEnd reports that a slew or a course leads further into an end switch.
func (s *State) againstEnd() bool {
	for i := range s.Axes {
		a := &s.Axes[i]
		if s.Mode != Jogging && a.HasSetpoint && (s.Observed.EndLow[i] && a.Setpoint < a.position() ||
			s.Observed.EndHigh[i] && a.Setpoint > a.position()) {
			return true
		}
	}
	return false
}

// sayGone notes the findings that are gone.
func (s *State) sayGone(in *Inputs, v *guard.Verdict) {
	for i := range s.Verdict.Count {
		old, stands := s.Verdict.Found[i], false
		for k := range v.Count {
			stands = stands || v.Found[k] == old
		}
		if !stands {
			s.note(in, Gone, old.Code, old.Axis, 0)
		}
	}
}

// distrustBy takes the trust from an axis whose counts and place may have parted.
func (s *State) distrustBy(in *Inputs, v *guard.Verdict) {
	for i := range v.Count {
		if f := v.Found[i]; f.Axis != guard.NoAxis && guard.Distrusts(f.Code) {
			s.distrust(in, int(f.Axis))
		}
	}
	for i := range s.Axes {
		if s.Observed.Lost[i] {
			s.distrust(in, i)
		}
	}
}

// trip locks out by the first cause. With nothing powered, asked or moving a
// trip that need not lock out only stands and refuses starts.
func (s *State) trip(c *Config, in *Inputs, v *guard.Verdict) {
	idle := s.Power == PowerOff && !s.Mode.active() && !s.moving(in)
	if idle && !guard.Locks(v.First.Code) {
		return
	}
	if v.Response == guard.TripPower {
		s.power(in, PowerOff)
	}
	if s.Mode == LockedOut {
		return // the first cause is kept
	}
	s.askStop(in.Now)
	s.lockOut(in, v.First)
	s.note(in, Tripped, v.First.Code, v.First.Axis, 0)
}

// stow counts down to the wind stow, once for each storm.
func (s *State) stow(c *Config, in *Inputs, wanted bool) {
	w := &s.Stow
	if !wanted {
		*w = StowState{}
		return
	}
	if w.Cancelled || w.Now || s.Mode == LockedOut {
		w.Running = false
		return
	}
	if !w.Running {
		w.Running, w.End = true, in.Now+c.StowCountdown
		s.say(in, StowAnnounced)
	}
	if in.Now >= w.End {
		w.Running, w.Now = false, true
	}
}

// proceed lets time do what it does: jogs and warnings end, rests are found, power goes off.
func (s *State) proceed(c *Config, in *Inputs) {
	switch s.Mode {
	case Jogging:
		if in.Now >= s.JogEnd {
			s.enter(Halting, in)
		}
	case Halting:
		if s.atRest() && !s.moving(in) {
			s.hold(in)
		}
	case Warning:
		if in.Now >= s.WarnEnd {
			s.enter(s.Pending, in)
		}
	case Slewing:
		if s.arrived(c) {
			s.enter(Holding, in)
		}
	case Idle:
		if s.Power == PowerOn {
			s.hold(in)
		}
	}
	if s.Mode.active() || s.moving(in) || s.Mode == LockedOut && s.Stop == StopAsked {
		s.RestSince = in.Now
	}
	if s.Power == PowerOn && c.IdlePowerOff > 0 && in.Now-s.RestSince > c.IdlePowerOff {
		s.power(in, PowerOff)
		s.say(in, PowerIdle)
		s.rest(in)
	}
}

// hold makes the place where the axes stand the one to hold.
func (s *State) hold(in *Inputs) {
	s.enter(Holding, in)
	for i := range s.Axes {
		a := &s.Axes[i]
		if in.Now-a.MovedAt >= standFor {
			a.Motion.Stand()
		}
		a.Setpoint, a.HasSetpoint = a.position(), a.Trusted
	}
}

// atRest reports that no axis is being moved by the plan.
func (s *State) atRest() bool {
	return s.Axes[0].Motion.Stopped() && s.Axes[1].Motion.Stopped() && s.Axes[0].Demand == 0 && s.Axes[1].Demand == 0
}

// arrived reports that every axis with a setpoint has come to it.
func (s *State) arrived(c *Config) bool {
	for i := range s.Axes {
		a := &s.Axes[i]
		if c.Axes[i].Fitted && a.HasSetpoint && !(a.Motion.Settled() &&
			math.Abs((a.Setpoint-a.position()).Rad()) < max(a.Tolerance, c.Axes[i].Scale.Step).Rad()) {
			return false
		}
	}
	return true
}

// movingFor is how long after its last count an axis passes for moving.
const movingFor = time.Second

// moving reports that a count changed a short while ago.
func (s *State) moving(in *Inputs) bool {
	return s.axisMoving(in, Azimuth) || s.axisMoving(in, Elevation)
}

func (s *State) axisMoving(in *Inputs, axis int) bool {
	a := &s.Axes[axis]
	return a.MovedAt != 0 && in.Now-a.MovedAt < movingFor
}

// standFor is how long the counts must stand after a stop to confirm it.
const standFor = 600 * time.Millisecond

// settle follows a stop until the dish rests, and says whether the lock-out may end. That it rests is taken back where
// an axis is driven or moves afterwards, and when it was out of sight.
func (s *State) settle(c *Config, in *Inputs) {
	s.watchRest(c, in)
	s.Unseen = (s.Lock.Locked || s.Stop != StopNone) &&
		(s.Unseen || s.Guard.Stands(guard.EncoderSilent) || s.Guard.Stands(guard.EncoderFault) || s.lost(c))
	back := s.Away && !s.Guard.Stands(guard.LinkLost)
	s.Away = s.Guard.Stands(guard.LinkLost)
	driven := s.driven(c)
	switch {
	case s.Stop == StopNone:
	case s.Guard.Stands(guard.MovingAfterStop) || s.Guard.Stands(guard.TooFast) ||
		s.Guard.Stands(guard.NotObeyed) && driven:
		s.Stop, s.StandAt = StopDefied, in.Now
	case s.Stop == StopDefied, s.Stop != StopAsked && (driven || back || s.Line.Restarted || s.Rest.Moves):
		s.askStop(in.Now)
	}
	if s.Stop == StopAsked {
		for i := range s.Axes {
			if c.Axes[i].Fitted {
				s.StandAt = max(s.StandAt, s.Axes[i].MovedAt)
			}
		}
		if driven || !s.Line.Connected || in.Now-s.Line.At > 2*c.Tick {
			s.StandAt, s.Rest.Quiet = in.Now, 0 // it is driven, or nothing is known of the counts
		}
		if in.Now-s.StandAt >= standFor || s.Rest.Quiet >= quietSeconds {
			s.stands(in)
		}
	}
	s.Lock.Releasable = s.Lock.Locked && s.Verdict.Response < guard.Trip && !s.Stop.Pending() && !s.Rest.Moves
}

// askStop begins to look whether the dish rests.
func (s *State) askStop(now Nanos) { s.Stop, s.StandAt, s.Rest.Quiet = StopAsked, now, 0 }

// quietSeconds is how many seconds an axis may rock to and fro until a stop is confirmed all the same.
const quietSeconds = 2

// watchRest looks at the counts of one second.
func (s *State) watchRest(c *Config, in *Inputs) {
	w := &s.Rest
	if !in.Reply.Fresh {
		return
	}
	quiet, moves := true, false
	for i := range s.Axes {
		counts := s.Observed.Samples[i].Counts
		w.Low[i], w.High[i] = min(w.Low[i], counts), max(w.High[i], counts)
		if c.Axes[i].Fitted {
			step, slack := c.Axes[i].Scale.Step.Rad(), s.Limits.Axes[i].Deadband()
			gone := counts - w.From[i]
			quiet = quiet && float64(w.High[i]-w.Low[i])*step <= slack && -1 <= gone && gone <= 1
			moves = moves || math.Abs(float64(gone))*step > slack
		}
	}
	switch {
	case !w.Have:
		w.Have, moves, quiet = true, false, false
	case in.Now-w.Begun < time.Second:
		w.Moves = w.Moves || moves
		return
	}
	if w.Quiet++; !quiet {
		w.Quiet = 0
	}
	w.begin(in.Now, &s.Observed)
	w.Moves = moves
}

// begin begins a second with the counts of now.
func (w *RestWatch) begin(now Nanos, n *observation) {
	w.Begun, w.Moves = now, false
	for i := range w.From {
		counts := n.Samples[i].Counts
		w.From[i], w.Low[i], w.High[i] = counts, counts, counts
	}
}

// lost reports that the enclosure says of an encoder that it failed.
func (s *State) lost(c *Config) bool {
	return c.Axes[Azimuth].Fitted && s.Observed.Lost[Azimuth] || c.Axes[Elevation].Fitted && s.Observed.Lost[Elevation]
}

// driven reports that the enclosure applies a drive.
func (s *State) driven(c *Config) bool {
	for i := range s.Axes {
		if c.Axes[i].Fitted && s.Observed.Samples[i].Applied != 0 {
			return true
		}
	}
	return false
}

// stands ends a stop: the counts have stood for long enough, where they count.
func (s *State) stands(in *Inputs) {
	for i := range s.Axes {
		s.Axes[i].Motion.Stand()
	}
	s.Rest.begin(in.Now, &s.Observed)
	if s.Unseen {
		s.Stop = StopUnseen
		s.say(in, StandingUnseen)
		return
	}
	s.Stop = StopStanding
	s.say(in, StandingStill)
}

func (a *AxisState) position() unit.Angle { return unit.Angle(a.Motion.Body.Dish) }
