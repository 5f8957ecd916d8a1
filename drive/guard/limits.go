package guard

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// MaxSectors is the number of closed sectors.
const MaxSectors = 16

// Sector is a part of the sky: azimuths clockwise from From to To (a full turn
// when equal), elevations from Low to High.
type Sector struct {
	From, To, Low, High unit.Angle
}

// Holds reports whether the direction lies in the sector; az need not be folded to a circle.
func (s Sector) Holds(az, el unit.Angle) bool {
	width := (s.To - s.From).Mod1()
	return el >= s.Low && el <= s.High && (width == 0 || (az-s.From).Mod1() <= width)
}

// Limits are the limits of the guards that belong to the station rather than
// to an axis. A limit of 0 is not judged.
type Limits struct {
	// LinkIdle and LinkPowered are how long replies may be missing, at rest and
	// with drive power; four ticks where that is longer.
	LinkIdle, LinkPowered time.Duration
	// LoopLate is how late a tick may begin.
	LoopLate time.Duration
	// WindowSilence is how long the window may be silent while slewing or jogging, or with the transmit permit
	// requested.
	WindowSilence time.Duration
	// PowerComesOn is how long drive power may take to come on.
	PowerComesOn time.Duration
	// SupplyLow is the drive supply in volts below which motion ends.
	SupplyLow float64
	// MotorHot and StageHot, degrees Celsius, end motion.
	MotorHot, StageHot float64
	// WindWarn, WindMean and WindGust, metres a second: warning by the mean of 1 minute,
	// stow by that of 10 minutes or by the gust. They end when the wind is lower by
	// WindHysteresis, the stow when it has been so for WindClear.
	WindWarn, WindMean, WindGust, WindHysteresis float64
	WindClear                                    time.Duration
	// SunAway is how far a bare dish must keep from the Sun.
	SunAway unit.Angle
	// ClockOff is how far the system's clock may be from a time source or step by itself.
	ClockOff time.Duration
	// PermitElevation is the least elevation with a permit.
	PermitElevation unit.Angle
	// RelayLow and RelayHigh, volts, bound the preamplifier relay supply.
	RelayLow, RelayHigh float64
	// ReflectedHigh in watts, CoolantHigh in degrees Celsius, FlowLow in litres a minute.
	ReflectedHigh, CoolantHigh, FlowLow float64
	// SWRHigh is the greatest standing wave ratio with a permit.
	SWRHigh float64
	// Closed are sectors of the sky without transmitting.
	Closed      [MaxSectors]Sector
	ClosedCount int
}

// DefaultLimits are those of a mesh dish of 5 to 7 m on a 24 V drive supply.
// Wind limits are of the order that published telescopes of this kind observe
// and stow at; every builder must set their own.
func DefaultLimits() Limits {
	return Limits{
		LinkIdle:        500 * time.Millisecond,
		LinkPowered:     time.Second,
		LoopLate:        50 * time.Millisecond,
		WindowSilence:   3 * time.Second,
		PowerComesOn:    2500 * time.Millisecond,
		SupplyLow:       20,
		MotorHot:        90,
		StageHot:        80,
		WindWarn:        10,
		WindMean:        14,
		WindGust:        20,
		WindHysteresis:  2,
		WindClear:       10 * time.Minute,
		ClockOff:        time.Second,
		PermitElevation: 0,
		RelayLow:        0,
		RelayHigh:       0,
	}
}

// Validate names field, value, limits and unit of the first that cannot be used.
func (l *Limits) Validate() error {
	durations := [...]struct {
		name         string
		v, low, high time.Duration
	}{
		{"link lost at rest after", l.LinkIdle, 200 * time.Millisecond, 10 * time.Second},
		{"link lost with power after", l.LinkPowered, 200 * time.Millisecond, 10 * time.Second},
		{"loop late by", l.LoopLate, time.Millisecond, time.Second},
		{"window silent after", l.WindowSilence, time.Second, time.Minute},
		{"drive power comes on within", l.PowerComesOn, 2 * time.Second, 10 * time.Second},
		{"wind lower for", l.WindClear, 0, 4 * time.Hour},
		{"clock off by", l.ClockOff, 0, time.Minute},
	}
	for _, d := range durations {
		if d.v < d.low || d.v > d.high {
			return fmt.Errorf("%s %v: must be %v to %v", d.name, d.v, d.low, d.high)
		}
	}
	figures := [...]struct {
		name    string
		v, high float64
		unit    string
	}{
		{"drive supply low", l.SupplyLow, 200, "V"},
		{"motor hot", l.MotorHot, 200, "degrees Celsius"},
		{"drive stage hot", l.StageHot, 200, "degrees Celsius"},
		{"wind warning", l.WindWarn, 60, "m/s"},
		{"wind stow, mean", l.WindMean, 60, "m/s"},
		{"wind stow, gust", l.WindGust, 80, "m/s"},
		{"wind hysteresis", l.WindHysteresis, 20, "m/s"},
		{"keep from the Sun", l.SunAway.Deg(), 60, "degrees"},
		{"minimum elevation to transmit", l.PermitElevation.Deg(), 90, "degrees"},
		{"relay supply low", l.RelayLow, 100, "V"},
		{"relay supply high", l.RelayHigh, 100, "V"},
		{"reflected power high", l.ReflectedHigh, 10000, "W"},
		{"standing wave ratio", l.SWRHigh, 100, ""},
		{"coolant hot", l.CoolantHigh, 150, "degrees Celsius"},
		{"coolant flow low", l.FlowLow, 300, "L/min"},
	}
	for _, f := range figures {
		if !(f.v >= 0 && f.v <= f.high) {
			return fmt.Errorf("%s %v: must be 0 to %v %s", f.name, f.v, f.high, f.unit)
		}
	}
	if l.ClosedCount < 0 || l.ClosedCount > MaxSectors {
		return fmt.Errorf("%d closed sectors: at most %d", l.ClosedCount, MaxSectors)
	}
	for i, s := range l.Closed[:max(0, l.ClosedCount)] {
		if sum := (s.From + s.To + s.Low + s.High).Rad(); math.IsNaN(sum) || math.IsInf(sum, 0) || s.Low > s.High {
			return fmt.Errorf("closed sector %d: elevations %v to %v degrees: both numbers, the lower first", i+1,
				s.Low.Deg(), s.High.Deg())
		}
	}
	return nil
}

// minPowerW is the power below which a standing wave ratio means nothing: that is a
// detector's own error. Common practice, no source.
const minPowerW = 5

// SWR is the standing wave ratio of a forward and a reflected power in watts:
// (1 + r) / (1 - r), where r is the square root of reflected over forward power
// (any textbook of transmission lines). It is infinite where all comes back, and 1
// where there is too little power to tell or a figure is missing.
func SWR(forwardW, reflectedW float64) float64 {
	switch {
	case math.IsNaN(forwardW), math.IsNaN(reflectedW), max(forwardW, reflectedW) < minPowerW, reflectedW <= 0:
		return 1
	case reflectedW >= forwardW:
		return math.Inf(1)
	}
	r := math.Sqrt(reflectedW / forwardW)
	return (1 + r) / (1 - r)
}
