package desk

import (
	"time"

	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// aim is what the desk is after; with the loop's mode it makes the Activity.
// Only State.seek changes it.
type aim uint8

const (
	noAim   aim = iota // nothing but holding; may become any other
	slewAim            // to a fixed place; ends in noAim
	// following the target; becomes noAim by Hold, Stop, trip or set, waitAim when it goes below the limit early
	trackAim
	waitAim   // at the rising place; becomes trackAim when the target rises
	parkAim   // to the resting place; becomes parkedAim
	windAim   // to the storm place for wind; becomes stowedAim
	snowAim   // to the storm place for snow; becomes stowedAim
	parkedAim // at rest in the resting place; ends with the next start
	stowedAim
)

// State is what the desk carries from one step to the next.
type State struct {
	Aim   aim
	AimAt step.Nanos // when the aim was taken up
	Place mount.AxisAngles
	// Legs are the places still to come on a way round the Sun, before Place or
	// the target; LegsAsked says whether a press stands behind them.
	Legs      []mount.AxisAngles
	LegsAsked bool
	Choice    station.Target

	Band, Feed int
	Trims      pointing.Trims
	Back       mount.Offset // the trim before the last change
	HasBack    bool

	// Excursion is beside the target, while it is followed.
	Excursion pointing.Excursion
	Waiting   pending    // a start that waits for drive power
	StowAgain step.Nanos // before which a wind stow that came to nothing is not tried again
	Radio     radio.State
	Armed     armedState
	Route     pointing.Route
	// SkyAt and SkyNow are the moment of the step before, by the clock and by the loop.
	SkyAt                time.Time
	TimeScale            int // of that step
	SkyNow               step.Nanos
	CourseAt             step.Nanos // when the last course was handed over
	HasCourse            bool
	HeldWhileReceiving   bool // the motors rest in the receive period, told at HeldWhileReceivingAt
	HeldWhileReceivingAt step.Nanos
	Tolerated            step.Nanos // when the tolerance was last sent
	NudgeAt              step.Nanos
	// Proposal waits to be confirmed; Acquired says that the beam is on the followed
	// target, ArrivesIn else about when; Returning that it comes back from beside it.
	Proposal   proposal
	Acquired   bool
	ArrivesIn  time.Duration
	Returning  bool
	Permit     permit.State
	PermitTold permitTold
	AtWork     bool              // 'working at the dish' was set
	Given      [2]givenReference // by the operator, the newest of each axis
	Outputs    enclosure.Outputs
	OutputsAt  step.Nanos // when they were last sent
	SentSlow   bool
	Learned    bool
	LastMode   step.Mode
	LastAim    aim
	WasUp      bool
	Sequencer  float64
	SequenceAt time.Time

	Target        Target
	Marks         []station.Target // what the panorama shows besides the target
	Sources       sourcesState
	Places        []BodyChoice // the operator's own, by name; replaced, never changed
	TargetAt      time.Time    // when rise and set were last looked for
	SceneAt       time.Time
	SceneFor      sceneKey
	Scene         *Scene
	Measuring     measuring.State
	Watch         watching.State
	Commissioning commissioningState
	Echoes        echoesState
	Number        uint64
	Stops         uint64 // those that have been obeyed
	LinkSince     time.Time
	Errors        uint64
	Rate          rate
}

// rate counts exchanges over a second.
type rate struct {
	At        step.Nanos
	Replies   uint64
	PerSecond float64
}

// pending is a start that waits for drive power.
type pending struct {
	Has   bool
	Aim   aim
	Place mount.AxisAngles
	Until step.Nanos
	// Unasked says that no press stands behind it: the motion warning comes first.
	Unasked bool
}

// New returns the state before the first step: the Moon for a target, the
// first band, the preamplifier on, and the trims of the last session.
func New(c *Config, trims pointing.Trims) State {
	return State{
		Radio:   radio.New(c, radio.Kept{}),
		Choice:  c.Moon(),
		Trims:   trims,
		Outputs: enclosure.OutputPreamplifier,
	}
}

// seek takes up an aim.
func (s *State) seek(a aim, now step.Nanos) {
	s.Aim, s.AimAt = a, now
	s.HasCourse = false
	s.Waiting = pending{}
	s.Excursion = pointing.Excursion{}
	s.Legs = nil
	s.Proposal, s.Acquired, s.Returning = proposal{}, false, false
}

// trim is the trim in use.
func (s *State) trim(c *Config) mount.Offset {
	band, feed := c.Names(s.Band, s.Feed)
	return s.Trims.Of(band, feed, s.Choice.Kind)
}

// setTrim replaces the trim in use and keeps the one before.
func (s *State) setTrim(c *Config, o mount.Offset, at time.Time, keepBack bool) {
	band, feed := c.Names(s.Band, s.Feed)
	if keepBack {
		s.Back, s.HasBack = s.trim(c), true
	}
	s.Trims = s.Trims.With(KeptTrim{
		Band: band, Feed: feed, Kind: s.Choice.Kind, CrossEl: o.Cross, El: o.El, At: at,
	})
	s.HasCourse = false
}
