// Package measuring is what the desk measures: the noise of cold sky, peaks, the receiver by Y factors and sky dips,
// the survey of the mount, and the station check. It asks the desk for what the dish has to do, and does nothing
// itself.
package measuring

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/event"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// State is what is carried from one step to the next. Its zero is the beginning.
type State struct {
	Cold      []ColdSky
	AverageMS int // of the noise level; 0 as in the settings
	Peak      peakState
	Survey    surveyState
	Rounds    roundsState
	Receiver  receiverState
	Check     checkState
}

// Kept is what is kept between two sessions.
type Kept struct {
	// Survey is what is known of the mount's errors, Receiver are its figures.
	Survey   KeptSurvey   `json:"survey"`
	Receiver KeptReceiver `json:"receiver"`
	// Cold are the levels of cold sky, AverageMS how long the level is averaged; 0 as in the settings.
	Cold      []ColdSky `json:"cold,omitempty"`
	AverageMS int       `json:"average_ms,omitempty"`
	// Check is the newest station check.
	Check *CheckResult `json:"check,omitempty"`
}

// New is the state before the first step; what was kept and can't be used is left out.
func New(k Kept) State {
	var s State
	s.takeSurvey(k.Survey)
	s.takeReceiver(k.Receiver)
	s.takeCold(k.Cold)
	s.AverageMS = max(0, min(maxAverageMS, k.AverageMS))
	s.Check.Last = k.Check
	return s
}

// Kept is what is to be kept.
func (s *State) Kept() Kept {
	return Kept{s.Survey.KeptSurvey, s.keptReceiver(), s.Cold, s.AverageMS, s.Check.Last}
}

// Dish is what the desk is after with the dish, and how the receiver is switched.
type Dish struct {
	Target     station.Target
	Band, Feed int
	Trims      pointing.Trims
	Outputs    enclosure.Outputs
	// What the desk is after: nothing (Idle), the target (Tracking), a place (Slewing). UnderWay is on the way to any
	// place.
	Idle, Tracking, Slewing, UnderWay bool
	// Powering: it waits for drive power. Detour: it is on a way round the Sun.
	Powering, Detour bool
	Armed            bool // a pass is armed
	Echoes           bool // own echoes are being measured
	// Arriving says why a level now is not that of one place; nothing where the beam has arrived and stands.
	Arriving message.Message
}

// Inputs are what a step may know of the moment.
type Inputs struct {
	// At is the time of the sky, Now the loop's time at the same moment.
	At   time.Time
	Now  step.Nanos
	Loop *step.Status
	Dish
	// Beam is where the beam is pointed; Antenna what it hears with, nil where it is no dish at all on this band.
	Beam    pointing.Beam
	Antenna *radio.Antenna
	// Levels are those measured since the last step, oldest first; NoiseDB their running mean, NaN for none.
	Levels     []level.Measured
	NoiseDB    float64
	OtherMeter bool // the levels are another meter's than the enclosure's
	LineErrors uint64
	// Watch is what the dish usually does. It is not changed here.
	Watch *watching.State
}

// Outputs are what a step comes to.
type Outputs struct {
	Events []event.Event
	// Pressed says that the operator's press stands behind what is asked for.
	Pressed bool
	// Asks are to be done in their order.
	Asks []Ask
}

// Ask is something that a measurement needs done.
type Ask interface{ ask() }

type (
	// Excurse moves the beam beside the target that is followed, or back.
	Excurse struct{ To pointing.Excursion }
	// Slew goes to a place: the First one switches drive power on. Asked says that a press stands behind it.
	Slew struct {
		To           mount.AxisAngles
		First, Asked bool
	}
	// Choose makes a body the target.
	Choose struct{ Target station.Target }
	// Track follows the target; Announced by the motion warning, with drive power if need be.
	Track struct{ Announced bool }
	// Rest is after nothing any more; Hold brings the axes to rest.
	Rest struct{ Hold bool }
	// Switch switches preamplifier and noise source.
	Switch struct{ Outputs enclosure.Outputs }
	// Trim sets the trim in use.
	Trim struct{ To mount.Offset }
	// Remodel takes the mount model of the state into use, with the trims that belong to it.
	Remodel struct{ Trims pointing.Trims }
	// BeginCheck records what the axes do from now on.
	BeginCheck struct{}
	// NoteCold takes a level of cold sky into what is usual.
	NoteCold struct{ Cold watching.Cold }
)

func (Excurse) ask()    {}
func (Slew) ask()       {}
func (Choose) ask()     {}
func (Track) ask()      {}
func (Rest) ask()       {}
func (Switch) ask()     {}
func (Trim) ask()       {}
func (Remodel) ask()    {}
func (BeginCheck) ask() {}
func (NoteCold) ask()   {}

// work is one step while it is worked out.
type work struct {
	c   *station.Config
	s   *State
	in  *Inputs
	log event.Log
	out Outputs
}

func newWork(c *station.Config, s *State, in *Inputs) *work {
	return &work{c: c, s: s, in: in, log: event.Log{At: in.At}}
}

func (w *work) finish() Outputs {
	w.out.Events = w.log.Events
	return w.out
}

func (w *work) say(g alarm.Grade, code message.Code, args ...any) { w.log.Say(g, code, args...) }

func (w *work) ask(a Ask) { w.out.Asks = append(w.out.Asks, a) }

func (w *work) pressed() { w.out.Pressed = true }

func (w *work) excurse(e pointing.Excursion) { w.ask(Excurse{e}) }

// Step takes the levels in and moves on what is being measured.
func Step(c *station.Config, s *State, in *Inputs) Outputs {
	w := newWork(c, s, in)
	w.peaking()
	w.receiving()
	w.stopping()
	w.rounds()
	w.checking()
	return w.finish()
}

// Shown is what the status tells of the measurements.
type Shown struct {
	Noise     Noise
	Peak      Peak
	Survey    Survey
	Receiving Receiving
	Check     Check
}

// Show is how everything stands.
func Show(c *station.Config, s *State, in *Inputs) Shown {
	w := newWork(c, s, in)
	return Shown{w.noise(), w.peakStatus(), w.surveyStatus(), w.receiverStatus(), w.checkStatus()}
}

// Busy names the measurement that is under way; nothing where there is none.
func (s *State) Busy() message.Message {
	switch r := s.Receiver.Series; {
	case s.Peak.Run != nil:
		return message.Of("measuring.peak-runs")
	case r != nil && r.Kind == dipSeries:
		return message.Of("measuring.dip-runs")
	case r != nil || s.Receiver.Run != nil:
		return message.Of("measuring.y-runs")
	case s.Check.Run != nil && s.Check.Run.Phase != checkToSun:
		return message.Of("measuring.check-runs")
	}
	return message.Message{}
}

// Disturbs says that the beam may be moved about the target to measure.
func (s *State) Disturbs() bool { return s.Peak.Run != nil || s.Receiver.Run != nil }

func (w *work) busy() message.Message {
	if w.in.Echoes {
		return message.Of("measuring.echoes-run")
	}
	return w.s.Busy()
}

// either is the one code or the other.
func either(first bool, one, other message.Code) message.Code {
	if first {
		return one
	}
	return other
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
