package guard

import (
	"time"

	"github.com/soniakeys/unit"
)

// AxisConfig is what the rows know of an axis. Rates and angles in radians, of the axis.
type AxisConfig struct {
	Fitted bool
	// Step is the angle of a count, Backlash the backlash, Coast the travel after
	// the drive is cut at the lowest speed.
	Step, Backlash, Coast unit.Angle
	// TopSpeed is the steady speed at full drive, a second; Acceleration, a second squared.
	TopSpeed, Acceleration unit.Angle
	// Lag is the time in which the axis follows its drive.
	Lag time.Duration
	// MinDrive is the drive below which an axis need not move, 0 to 1.
	MinDrive float64
	// SoftLow and SoftHigh are the soft limits. The end switches stand at EndLow and
	// EndHigh; one that opens further away than EndMargin contradicts the position.
	SoftLow, SoftHigh, EndLow, EndHigh, EndMargin unit.Angle
	// Ramp is the enclosure's time from zero to full drive. Speeds is the number of
	// fixed speeds, 0 for a proportional drive, Slowest the lowest of them, a second.
	Ramp    time.Duration
	Speeds  int
	Slowest unit.Angle
	// IdleA is the current below which a driven motor has no power; StallA that
	// above which it is jammed; RatedA what it may carry continuously. Amperes; 0: not judged.
	IdleA, StallA, RatedA float64
	// MaxStallTime is how long the motor tolerates StallA from cold.
	MaxStallTime time.Duration
}

// Config is what the rows know of the station.
type Config struct {
	Axes   [2]AxisConfig
	Limits Limits
	// Tick is the time between two ticks.
	Tick time.Duration
}

// AxisFacts is an axis at this tick. Drives run from -1 to 1, + to rising
// angles; counts are turned so that they rise with the angle.
type AxisFacts struct {
	Counts          int32
	Applied, Demand float64
	CurrentA        float64 // NaN where not fitted
	// Load is the part of full drive that a load takes, as the motor current
	// tells; 0 where it tells nothing.
	Load float64
	// Gain is the speed at full drive that the axis has shown, over TopSpeed; 0: not known.
	Gain            float64
	MotorC          float64 // NaN where not fitted
	EndLow, EndHigh bool
	DriveFault      bool
	EncoderFault    bool
	Impossible      uint16
	Trusted         bool
	Position        unit.Angle
	// Commanded is where the operator's order or the course would take the axis
	// now, before any limit; valid with HasCommand.
	Commanded  unit.Angle
	HasCommand bool
	// Goal is the place to which the plan drives the axis; valid with Pursued.
	Goal    unit.Angle
	Pursued bool
}

// Facts is what the rows are shown of a tick. Figures that are not fitted are NaN.
type Facts struct {
	Now time.Duration
	// Connected: a reply has been accepted since the start. Fresh: the
	// enclosure's figures are new in this tick. ReplyAge is the age of the newest,
	// Asleep the part of it in which the loop asked for none: the computer gave it no time.
	Connected, Fresh bool
	ReplyAge, Asleep time.Duration
	// Millis is the enclosure's own clock.
	Millis uint32
	// WrongMap: the identity is not one that the panel can drive. Restarted: the
	// start counter or the enclosure's clock shows a new start.
	WrongMap, Restarted bool
	LateBy              time.Duration

	// Ours: the loop wants drive power on. Asked is how long ago it asked; only
	// meaningful while Ours. Powered: the drives have it.
	Ours, Powered  bool
	Asked          time.Duration
	PowerConfirmed bool // it has come on since it was asked
	// Active: a mode that moves an axis. Slewing, Jogging and Following say which.
	Active, Slewing, Jogging, Following bool
	// Acquiring: following, and not yet within tolerance, or far off again.
	Acquiring bool
	// ReadingsAge is the age of the older half of the readings.
	ReadingsAge time.Duration
	// Stopped: a Stop or lock-out is in force.
	Stopped bool
	// WindowExpected: there should be a window. WindowAge is the age of its last sign.
	WindowExpected bool
	WindowAge      time.Duration
	// CourseOver: the course says nothing about now.
	CourseOver bool

	WatchdogTrip, PowerTrip, StopTrip, HandTrip bool
	StopOpen, HandPanel, Door, Work             bool
	Structure                                   bool // the dish is or would go below a structure

	DriveSupplyV, StageC      float64
	WindMean, WindGust        float64
	WindFitted                bool
	WallStep                  time.Duration // step of the wall clock against the monotonic one in this tick
	ClockOffset               time.Duration
	SunAngle                  unit.Angle // between beam and Sun; valid with HasSun
	HasSun                    bool
	PermitRequested, Keyed    bool
	AzDirection, ElDirection  unit.Angle // where the dish looks, valid with both axes trusted
	RelayV                    float64
	ForwardW, ReflectedW      float64
	CoolantC, FlowLitres      float64
	SequencerFault, OffTarget bool

	// Implausible are the sensors whose reading can't be, and counts as missing.
	Implausible Sensors

	Axes [2]AxisFacts
}
