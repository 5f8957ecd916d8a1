// Package desk is the operator's desk: it takes what the operator asks, works
// out where the target is and what the axes must do, and says in one status
// everything that may be known. It is the only place where sky meets machine.
//
// Step is the desk as a pure step; Runner lets it run beside the drive's loop.
package desk

import (
	"time"

	"beamhelm/app/desk/level"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Inputs is what a step of the desk may know of the moment.
type Inputs struct {
	// At is the time of the sky, Now the loop's time at the same moment.
	At  time.Time
	Now step.Nanos
	// TimeScale is how many times as fast as the loop's time the sky's runs; 0 where it can't run faster.
	TimeScale int
	// Loop is the newest status of the loop, and LoopEvents what happened in it since the last step.
	Loop       *step.Status
	LoopEvents []step.Event
	Orders     []Given
	// Stops counts the Stops asked so far, none of the orders is newer than the newest.
	Stops uint64
	// NoiseDB is the averaged noise level now; NaN when not known.
	NoiseDB float64
	// Measured are the levels measured since the last step, oldest first.
	Measured []level.Measured
	// Around is how what runs beside the dish is.
	Around watching.Around
	// ClockOffset is how far the computer's clock is behind the time source, meant with HasClockOffset.
	ClockOffset    time.Duration
	HasClockOffset bool
	// Dialled is what the radio's own dial shows.
	Dialled radio.Dialled
	Port    string // the name of the line on the screen
	// OwnEcho is how the newest measurement of the station's own echoes stands.
	OwnEcho ownecho.Progress
	// OtherMeter says that the noise is measured by another meter than the enclosure's detector.
	OtherMeter bool
}

// Outputs are what a step of the desk asks for.
type Outputs struct {
	Commands []step.Command
	// Course is valid with HasCourse; it must reach the loop before the commands.
	Course    step.Course
	HasCourse bool
	Sun       mount.AxisAngles // as the axes would have to point
	TimeScale int              // to be taken from now on; 0: as it is
	Events    []Event          // not yet numbered
	Status    *Status
}

// Step moves the desk on to the moment of the inputs.
func Step(c *Config, s *State, in *Inputs) Outputs {
	var out Outputs
	t := work{c: c, s: s, in: in, out: &out}
	t.listen()
	if in.Stops != s.Stops {
		t.stop()
	}
	t.clock()
	for _, g := range in.Orders {
		switch stop, isStop := g.Order.(Stop); {
		case isStop:
			stop.obey(&t)
		case g.Stops == in.Stops || !starts(g.Order):
			t.obey(g.Order)
		}
	}
	t.lapse()
	t.power()
	t.settle()
	t.armed()
	t.measuring()
	t.echoes()
	t.commissioning()
	t.pursue()
	t.acquire()
	t.tolerate()
	t.holdWhileReceiving()
	t.slow()
	sun := c.SunAt(in.At)
	out.Sun = s.chain(c).Axes(sun)
	t.permit(sun)
	t.watch()
	out.Status = t.status()
	s.LastMode, s.LastAim = in.Loop.Mode, s.Aim
	return out
}

// work is one step while it is worked out.
type work struct {
	c   *Config
	s   *State
	in  *Inputs
	out *Outputs
	// press is what was pressed for the permit in this step, inhibits what stands against it.
	press    permit.Inputs
	inhibits []permit.Inhibit
}

func (t *work) ask(m step.Command) { t.out.Commands = append(t.out.Commands, m) }

func (t *work) say(g Grade, code message.Code, args ...any) { t.tell(g, message.Of(code, args...)) }

func (t *work) tell(g Grade, m message.Message) {
	t.out.Events = append(t.out.Events, Event{At: t.in.At, Grade: g, Words: m})
}

// warn tells why something was not done; a message that says nothing is no refusal.
func (t *work) warn(why message.Message) {
	if why.Code != "" {
		t.tell(Warning, why)
	}
}

// listen takes in what happened in the loop.
func (t *work) listen() {
	for _, e := range t.in.LoopEvents {
		t.out.Events = append(
			t.out.Events,
			Event{At: t.ago(e.Now), Grade: watching.EventGrade(e), Words: message.Of("loop.event", e)},
		)
	}
}

// stop gives up all that moves the dish or would: the loop has been asked to stop.
func (t *work) stop() {
	s := t.s
	s.Stops = t.in.Stops
	t.press.Stop = true
	s.seek(noAim, t.in.Now) // first, so that what ends below finds nothing to go on with
	t.endEchoes(message.Of("desk.stop-pressed"))
	t.intervene(Stop{})
	t.overtake(Stop{})
	s.seek(noAim, t.in.Now)
	s.NudgeAt = t.in.Now - pointing.PressCounts // no press from before it stands behind a start
}

// settle lets the aim end when the loop has ended it or it has been reached.
func (t *work) settle() {
	s, loop := t.s, t.in.Loop
	if loop.Mode == step.LockedOut {
		if s.Aim != noAim {
			s.seek(noAim, t.in.Now)
		}
		return
	}
	switch {
	case !loop.StowNow:
		s.StowAgain = 0
	case s.Aim != windAim && s.Aim != stowedAim && t.in.Now >= s.StowAgain:
		// The countdown told of it and could be cancelled, so drive power comes on for it.
		t.setOffFor(windAim, station.PlaceOf(t.c.Settings.WindStow))
	}
	if t.legs() || s.Waiting.Has || t.in.Now-s.AimAt < pointing.Acknowledge {
		return
	}
	switch s.Aim {
	case slewAim, parkAim, windAim, snowAim:
		t.arrive()
	case trackAim:
		if !pointing.Follows(loop.Mode) {
			if _, unwraps := s.Route.UnwrapAt(t.in.At); unwraps &&
				(loop.Mode == step.Slewing || loop.Mode == step.Holding) {
				s.AimAt = t.in.Now // follow takes it up again afterwards
				return
			}
			t.say(Notice, "desk.tracking-ended", loop.Mode)
			s.seek(noAim, t.in.Now)
		}
	case waitAim:
		if loop.Mode == step.Idle || loop.Mode == step.Jogging {
			s.seek(noAim, t.in.Now)
		}
	case parkedAim, stowedAim:
		if loop.Mode != step.Holding && loop.Mode != step.Idle {
			s.seek(noAim, t.in.Now)
		}
	}
}

// arrive ends a slew when the dish is there, or when the loop gave it up.
func (t *work) arrive() {
	s, loop := t.s, t.in.Loop
	switch loop.Mode {
	case step.Slewing, step.Warning, step.Halting:
		return
	case step.Holding:
		if pointing.Near(loop, s.Place) {
			break
		}
		fallthrough
	default:
		t.say(Notice, s.Aim.endedEarly())
		t.stowLater()
		s.seek(noAim, t.in.Now)
		return
	}
	switch s.Aim {
	case parkAim:
		s.seek(parkedAim, t.in.Now)
		t.say(Normal, "desk.parked")
	case windAim, snowAim:
		s.seek(stowedAim, t.in.Now)
		t.say(Normal, "desk.stowed")
	default:
		s.seek(noAim, t.in.Now)
	}
}

// pursue follows the target, waits for it or sees it set.
func (t *work) pursue() {
	s, c, in := t.s, t.c, t.in
	if s.Aim != trackAim && s.Aim != waitAim || s.Waiting.Has || len(s.Legs) > 0 || in.Loop.Power != step.PowerOn {
		return
	}
	d, _, ok := c.Place(s.Choice, in.At)
	if !ok {
		return
	}
	up := d.El >= c.Min()
	if s.Aim == waitAim {
		if !up {
			return
		}
		t.say(Normal, "desk.has-risen", t.s.Choice.InWords())
		s.seek(trackAim, in.Now)
	}
	if !up {
		t.set()
		return
	}
	if !s.Route.Has || s.Route.For != s.Choice || in.At.Sub(s.Route.From) > pointing.RouteAnew ||
		in.At.Before(s.Route.From) {
		t.route()
	}
	t.follow()
}

// set ends tracking at the target's set.
func (t *work) set() {
	s := t.s
	s.seek(noAim, t.in.Now)
	t.ask(step.Hold{})
	t.say(Notice, "desk.has-set", t.s.Choice.InWords())
}

// route chooses the way through the pass again and tells what is special about it.
func (t *work) route() {
	s, in := t.s, t.in
	azimuth := in.Loop.Axes[mount.Azimuth].Position
	if in.Loop.Axes[mount.Azimuth].HasSetpoint {
		azimuth = in.Loop.Axes[mount.Azimuth].Setpoint
	}
	s.Route = t.beam().Plan(in.At, azimuth)
	if s.Route.Plan.Beyond {
		t.say(Warning, "desk.pass-beyond")
	}
	for _, u := range s.Route.Plan.Unwraps {
		t.say(Notice, "desk.unwrap", in.At.Add(u.At), u.Lasts)
	}
	for _, z := range s.Route.Plan.Zeniths {
		t.say(Notice, "desk.zenith", in.At.Add(z.From), in.At.Add(z.To), z.Worst)
	}
}

// follow hands the loop its course and starts it, or turns the cable back where the route says so.
func (t *work) follow() {
	s, in := t.s, t.in
	if u, unwraps := s.Route.UnwrapAt(in.At); unwraps {
		if !s.HasCourse {
			return
		}
		there := in.At.Add(u.Lasts)
		if d, ok := t.beam().OnRoute(there); ok {
			s.HasCourse = false
			t.say(Notice, "desk.unwrapping")
			t.ask(step.Slew{To: d, Asked: true})
		}
		return
	}
	if s.HasCourse && in.Now-s.CourseAt < pointing.RenewEvery {
		return
	}
	course, ok := t.beam().Course(in.Now)
	if !ok {
		return
	}
	t.out.Course, t.out.HasCourse = course, true
	if !pointing.Follows(in.Loop.Mode) && (!s.HasCourse || in.Now-s.AimAt < pointing.Acknowledge) {
		// Where no press stands behind it, as when a target rises, the motion warning comes first.
		t.ask(step.Follow{Asked: in.Now-s.NudgeAt < pointing.PressCounts})
	}
	s.CourseAt, s.HasCourse = in.Now, true
}

// power starts what waited for drive power, or gives it up.
func (t *work) power() {
	s, loop := t.s, t.in.Loop
	if !s.Waiting.Has {
		return
	}
	w := s.Waiting
	switch {
	case loop.Power == step.PowerOn:
		t.begin(w.Aim, w.Place, !w.Unasked)
	case loop.Mode == step.LockedOut, t.in.Now > w.Until,
		t.in.Now-s.AimAt > pointing.Acknowledge && loop.Power == step.PowerOff:
		t.stowLater()
		s.seek(noAim, t.in.Now)
		t.say(Warning, "desk.no-power")
	}
}

// stowEvery is how long after one that came to nothing the wind stow is tried again.
const stowEvery = time.Minute

// stowLater puts the next try of a wind stow off, where this was one.
func (t *work) stowLater() {
	if t.s.Aim == windAim {
		t.s.StowAgain = t.in.Now + stowEvery
	}
}
