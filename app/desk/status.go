package desk

import (
	"time"

	"beamhelm/app/message"
	"beamhelm/drive/mount"

	"github.com/soniakeys/unit"
)

// Status is everything the window, the records and other readers may know, at
// one moment. It is immutable once published. Directions on the sky are as
// seen, with refraction; axis angles run over the cable wrap.
type Status struct {
	// Number counts published statuses.
	Number uint64
	// At is the time of the sky in UTC: the practice clock in practice.
	At time.Time
	// Practice marks the simulated dish.
	Practice bool
	// TimeScale is how many times as fast as the real time that of the sky runs; 0 where it can't run faster.
	TimeScale int
	Station   Station
	// Scene is what changes seldom; a new pointer means a new scene.
	Scene *Scene

	Activity Activity
	// Acquiring: the target is followed, and the beam is not on it yet; it will be in
	// about ArrivesIn.
	Acquiring bool
	ArrivesIn time.Duration
	// Legs is how many legs are still to be gone on a route that avoids the Sun; 0 on any other.
	Legs int
	// StowCancelled: the wind is still above its stow limit, and the operator cancelled the wind stow.
	StowCancelled bool
	Proposal      Proposal
	// Destination is the place or target of the activity, such as "the Moon" or "park".
	Destination message.Message
	Target      Target
	Bodies      []Body // what the panorama marks: Moon, Sun and sources, above the horizon or not
	// Sources is the catalogue's list; it is not changed once published.
	Sources []RadioSource

	Axes [2]Axis // azimuth, elevation
	// Off is the true angle on the sky between the commanded and the measured direction.
	Off unit.Angle
	// OffCross and OffEl are where the beam is from the target (trim and
	// mount model taken out), true angle, + clockwise and + up.
	OffCross, OffEl unit.Angle
	// EchoLossDB is the echo lost by pointing: both ways, from the angle
	// between beam and where the trim says the target is. Meaningful while tracking.
	EchoLossDB float64

	Trim      Trim
	Band      Band
	BandIndex int
	Feed      int

	Power   PowerState
	Lock    Lock
	Stop    StopState
	Moving  bool
	Halting bool // it comes to rest under control, to hold
	Working bool // 'working at the dish' is set
	// Starting is the start announced by the motion warning, with the seconds left; nothing otherwise.
	Starting        message.Message
	StartingIn      time.Duration
	PermitRequested bool
	Transmit        Transmit

	Link     Link
	Readings [ReadingCount]Reading
	Switches []Switch
	Alarms   []Alarm // worst first
	// LastEvent is the number of the newest event.
	LastEvent uint64
	Noise     Noise
	Peak      Peak
	Survey    Survey
	Receiving Receiving
	Check     Check
	OwnEcho   OwnEcho
	// Commissioning is nil where none has begun.
	Commissioning *Commissioning
	// Trims are those of all bands, feeds and kinds of target; the list is not changed once published.
	Trims []KeptTrim
	// OffSource is how far the beam stands beside the target at the same elevation, + clockwise; 0 on the target.
	OffSource unit.Angle
	// Preamplifier and NoiseSource are ordered on.
	Preamplifier, NoiseSource bool
	// Radio is the radio path, nil where it isn't worked out; Then the same for the moment looked at, if any.
	Radio, Then *Radio
	Period      Period
	Plan        *Plan  // nil where it isn't worked out
	Skeds       *Skeds // nil where nobody looks at them
	// Shading is the noise over the sky, nil where it isn't asked for or known; Shaded that it is asked for.
	Shading *Shading
	Shaded  bool
	// PlanMonth is how many months from now the plan is.
	PlanMonth int
	// Places are the operator's own, by name; the list is not changed once published.
	Places []BodyChoice
	// Dates that the operator marks in the plan, by their first day.
	Dates []Date
	// PlanWith are the names of the partners that the plan's passes are shared with.
	PlanWith []string
	Armed    Armed
	// Referencing tells what setting the position would do.
	Referencing Referencing
	// MotorStartsPerHour per axis, over the last hour or since the start.
	MotorStartsPerHour [2]float64
	Lateness           Lateness
}

// UnderWay says that the desk is after something that moves the dish now or later by itself.
func (s *Status) UnderWay() bool {
	switch s.Activity {
	case Jogging, Slewing, Tracking, Waiting, Parking, Stowing:
		return true
	}
	return false
}

// Station is where the dish stands.
type Station struct {
	Name, Locator string
	Lat, Lon      unit.Angle // north and east positive
	HeightM       float64
}

// Scene is the part of the picture that changes seldom.
type Scene struct {
	// Arcs of the target, Moon and Sun: the way across the sky around now.
	Arcs []Arc
	// Horizon is the least elevation at each whole degree of azimuth; nil when not surveyed.
	Horizon    []unit.Angle
	Structures []Structure
	Closed     []Sector // no transmitting
	// SoftLow and SoftHigh are the soft limits, EndLow and EndHigh the end switches, per axis.
	SoftLow, SoftHigh, EndLow, EndHigh [2]unit.Angle
	// TopPerS is the top speed and AccelerationPerS2 the acceleration of each axis, per second and per second squared.
	TopPerS, AccelerationPerS2 [2]unit.Angle
	Bands                      []Band
	Park, WindStow, SnowStow   AxisAngles
}

// Arc is a target's way across the sky.
type Arc struct {
	Kind BodyKind
	Name string
	// Points ten minutes apart, with refraction; Az folded to 0 to a full turn.
	Points []ArcPoint
}

// ArcPoint is a moment of an arc.
type ArcPoint struct {
	At     time.Time
	Az, El unit.Angle
	// Shared says that the partner in use has the target up as well.
	Shared bool
}

// Structure is something the dish must stay above.
type Structure struct {
	Name     string
	From, To unit.Angle // azimuth, clockwise from From
	Min      unit.Angle // least elevation
}

// Sector is a part of the sky.
type Sector struct {
	Name         string
	From, To     unit.Angle // azimuth, clockwise
	FromEl, ToEl unit.Angle
}

// Body is a mark in the panorama.
type Body struct {
	Kind     BodyKind
	Name     string
	Az, El   unit.Angle
	Diameter unit.Angle // 0 for a point
}

//go:generate go run golang.org/x/tools/cmd/stringer -type Activity -output string.go

// Activity is what the desk does. A single function of the desk changes it.
type Activity uint8

const (
	Idle     Activity = iota // power off; may become any other but Tracking without power
	Holding                  // axes held
	Jogging                  // by hand, ends by itself into Holding
	Slewing                  // to a fixed place, ends in Holding
	Tracking                 // on a target, until Hold, Stop, set or trip
	Waiting                  // at the rising place of a target that is down, becomes Tracking when it rises
	Parking                  // to the resting place, ends in Parked
	Parked
	Stowing // to a storm place, ends in Stowed
	Stowed
	LockedOut // until Release
)

// Target is what the beam should look at.
type Target struct {
	Choice BodyChoice
	Name   string // "Moon", "Cas A", "12 34.5 +56.7" ...
	// Az, El is the target's own place, without trim or mount model.
	Az, El unit.Angle
	Up     bool
	// Rise is the next rise, Set the next set; zero when there is none within two days.
	Rise, Set time.Time
	// Highest is the highest moment of this pass or the next, HighestEl its elevation.
	Highest    time.Time
	HighestEl  unit.Angle
	DistanceKm float64 // 0 when not meant
	// RangeRateMps is positive when receding.
	RangeRateMps float64
	Diameter     unit.Angle
	// Dubious says that the result lies outside what the ephemeris or the leap seconds cover, and why;
	// nothing when fine.
	Dubious message.Message
}

// Axis is one axis as it is now.
type Axis struct {
	Fitted  bool
	Trusted bool
	// Position is the angle measured, Estimated when it stands between counts.
	Position  unit.Angle
	Estimated bool
	// Setpoint is the angle asked for; meaningless unless HasSetpoint.
	Setpoint    unit.Angle
	HasSetpoint bool
	// ArrivesIn is the time that a slew takes to the setpoint; 0 when there, or without a slew.
	ArrivesIn time.Duration
	// Rate of the axis, radians per second of time as unit.Angle per second.
	RatePerS unit.Angle
	// Applied drive, -1 to +1.
	Applied  float64
	CurrentA float64 // NaN when not fitted
	// EndLow and EndHigh are the end switches, true when open.
	EndLow, EndHigh bool
	Moving          bool
	Counts          int32
	// Offered is the angle the reference kept from before the restart would give; valid when HasOffer.
	Offered  unit.Angle
	HasOffer bool
	// Origin says how the position came to be trusted and when, or what it could be set by; nothing for neither.
	Origin   message.Message
	OriginAt time.Time
	StepDeg  float64 // degrees per count
}

// Trim is what the operator adds while tracking, true angle on the sky.
type Trim struct {
	CrossEl, El         unit.Angle
	For                 string // "5760 MHz, Moon": the band, feed and kind of target it belongs to
	CanGoBack           bool
	BackCrossEl, BackEl unit.Angle
	// OfSun is the Sun's trim on the same band and feed, which may serve for the Moon; HasSun: it is offered.
	OfSun  mount.Offset
	HasSun bool
}

// Band is a band with its feed.
type Band struct {
	Name  string // "1296 MHz"
	MHz   float64
	Feed  string
	Feeds []string
	// HalfPower is the half-power beamwidth, full angle.
	HalfPower unit.Angle
}

// PowerState of the drives.
type PowerState uint8

// The states of drive power.
const (
	PowerOff PowerState = iota
	PowerComingOn
	PowerOn
)

// Lock is a lock-out.
type Lock struct {
	Locked bool
	Since  time.Time
	// Stopped: the operator stopped the dish, in this session or the one before; no guard tripped.
	Stopped bool
	Cause   message.Message // the first
	Next    message.Message // what the operator should do
	// Releasable is false while the cause stands.
	Releasable bool
}

// Link is the serial line.
type Link struct {
	State LinkState
	// Heard says that a reply has told where the axes are, now or earlier.
	Heard       bool
	Words       message.Message
	Port        string
	PerSecond   float64
	Errors      uint64
	Since       time.Time     // errors counted since
	LastReply   time.Duration // age of the newest reply
	Refused     string        // exception with which the enclosure refused the newest request; empty for none
	ErrorsKeyed uint64
	Impossible  [2]uint64 // impossible transitions since the start
}

// Lateness of the loop's ticks, in milliseconds, since the start.
type Lateness struct {
	P50, P99, P999 float64
	Ticks          uint64
}
