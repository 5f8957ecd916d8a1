package guard

import (
	"time"

	"github.com/soniakeys/unit"
)

// AxisConfig is what the rows know of an axis. Rates and angles in radians, of the axis.
type AxisConfig struct {
	Fitted bool
	// Step is the angle of a count, Play the tooth play, Coast the travel after
	// the drive is cut at the lowest speed.
	Step, Play, Coast unit.Angle
	// TopSpeed is the steady speed at full drive, a second; Acceleration, a second squared.
	TopSpeed, Acceleration unit.Angle
	// LeastDrive is the drive below which an axis need not move, 0 to 1.
	LeastDrive float64
	// SoftLow and SoftHigh are the soft limits.
	SoftLow, SoftHigh unit.Angle
	// IdleA is the current below which a driven motor has no power; BlockedA that
	// above which it is held fast; RatedA what it bears for ever. Amperes; 0: not judged.
	IdleA, BlockedA, RatedA float64
	// Bears is how long the motor bears BlockedA from cold.
	Bears time.Duration
}

// Config is what the rows know of the station.
type Config struct {
	Axes [2]AxisConfig
	// Tick is the time between two ticks.
	Tick time.Duration
	// LinkIdle and LinkPowered are how long replies may be missing.
	LinkIdle, LinkPowered time.Duration
	// WindowSilence is how long the window may be silent.
	WindowSilence time.Duration
	// PowerComesOn is how long drive power may take to come on.
	PowerComesOn time.Duration
}

// AxisFacts is an axis at this tick. Drives run from -1 to 1, + to rising angles.
type AxisFacts struct {
	Counts          int32
	Applied, Demand float64
	CurrentA        float64 // NaN where not fitted
	EndLow, EndHigh bool
	DriveFault      bool
	EncoderFault    bool
	Impossible      uint16
	Trusted         bool
	Is              unit.Angle
	// Rate is estimated, radians a second.
	Rate float64
}

// Facts is what the rows are shown of a tick.
type Facts struct {
	Now time.Duration
	// Fresh: the enclosure's figures are new in this tick.
	Fresh bool
	Axes  [2]AxisFacts
}

// State is what the rows remember between ticks.
type State struct {
	Standing [CodeCount]uint8
}
