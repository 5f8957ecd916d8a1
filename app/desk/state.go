package desk

import (
	"time"

	"github.com/soniakeys/unit"

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
	noAim     aim = iota // nothing but holding; may become any other
	slewAim              // to a fixed place; ends in noAim
	trackAim             // following the target; becomes noAim by Hold, Stop, trip or set, waitAim when it goes below the limit early
	waitAim              // at the rising place; becomes trackAim when the target rises
	parkAim              // to the resting place; becomes parkedAim
	windAim              // to the storm place for wind; becomes stowedAim
	snowAim              // to the storm place for snow; becomes stowedAim
	parkedAim            // at rest in the resting place; ends with the next start
	stowedAim
)

// State is what the desk carries from one step to the next.
type State struct {
	Aim   aim
	AimAt step.Nanos // when the aim was taken up
	Place mount.Direction
	// Legs are the places still to come on a way round the Sun, before Place or
	// the target; LegsAsked says whether a press stands behind them.
	Legs      []mount.Direction
	LegsAsked bool
	Choice    station.Target

	Band, Feed int
	Trims      []KeptTrim
	Back       KeptTrim // the trim before the last change
	HasBack    bool

	// Excursion is beside the target, while it is followed.
	Excursion pointing.Excursion
	Waiting   pending    // a start that waits for drive power
	StowAgain step.Nanos // before which a wind stow that came to nothing is not tried again
	Radio     radio.State
	Armed     armedState
	Route     pointing.Route
	// SkyAt and SkyNow are the moment of the step before, by the clock and by the loop.
	SkyAt     time.Time
	SkyNow    step.Nanos
	CourseAt  step.Nanos // when the last course was handed over
	HasCourse bool
	Hushed    bool // the motors are to keep still in their turn, told at HushedAt
	HushedAt  step.Nanos
	Tolerated step.Nanos // when the tolerance was last sent
	NudgeAt   step.Nanos
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
	TargetAt      time.Time        // when rise and set were last looked for
	SceneAt       time.Time
	SceneFor      sceneKey
	Scene         *Scene
	Cold          []ColdSky
	AverageMS     int // of the noise level; 0 as in the settings
	Peak          peakState
	Survey        surveyState
	Rounds        roundsState
	Receiver      receiverState
	Watch         watching.State
	Check         checkState
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

// KeptTrim is a trim with what it belongs to, kept outside the settings.
type KeptTrim struct {
	Band string   `json:"band"`
	Feed string   `json:"feed"`
	Kind BodyKind `json:"kind"`
	// CrossEl and El, true angle on the sky, radians.
	CrossEl unit.Angle `json:"cross_elevation_rad"`
	El      unit.Angle `json:"elevation_rad"`
	At      time.Time  `json:"at"`
}

// pending is a start that waits for drive power.
type pending struct {
	Is    bool
	Aim   aim
	Place mount.Direction
	Until step.Nanos
	// Unasked says that no press stands behind it: the motion warning comes first.
	Unasked bool
}

// New returns the state before the first step: the Moon for a target, the
// first band, the preamplifier on, and the trims of the last session.
func New(c *Config, trims []KeptTrim) State {
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

// trimIndex is where the trim of the band, feed and kind of target in use is; -1 where there is none.
func (s *State) trimIndex(c *Config) int {
	band, feed := c.Names(s.Band, s.Feed)
	for i, t := range s.Trims {
		if t.Band == band && t.Feed == feed && t.Kind == s.Choice.Kind {
			return i
		}
	}
	return -1
}

// trim is the trim in use.
func (s *State) trim(c *Config) mount.Offset {
	if i := s.trimIndex(c); i >= 0 {
		return mount.Offset{Cross: s.Trims[i].CrossEl, El: s.Trims[i].El}
	}
	return mount.Offset{}
}

// mostTrim bounds a trim: what is further off is no trim but another target.
const mostTrim = 10 // degrees

// setTrim replaces the trim in use and keeps the one before.
func (s *State) setTrim(c *Config, o mount.Offset, at time.Time, keepBack bool) {
	limit := degrees(mostTrim)
	o.Cross, o.El = max(-limit, min(limit, o.Cross)), max(-limit, min(limit, o.El))
	band, feed := c.Names(s.Band, s.Feed)
	i := s.trimIndex(c)
	if keepBack {
		was := s.trim(c)
		s.Back, s.HasBack = KeptTrim{band, feed, s.Choice.Kind, was.Cross, was.El, at}, true
	}
	kept := KeptTrim{band, feed, s.Choice.Kind, o.Cross, o.El, at}
	trims := append([]KeptTrim(nil), s.Trims...)
	if i >= 0 {
		trims[i] = kept
	} else {
		trims = append(trims, kept)
	}
	s.Trims = trims
	s.HasCourse = false
}

// Valid reports whether a kept trim can be used.
func (t KeptTrim) Valid() bool {
	limit := degrees(mostTrim)
	return t.CrossEl >= -limit && t.CrossEl <= limit && t.El >= -limit && t.El <= limit
}
