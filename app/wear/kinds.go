package wear

import (
	"fmt"
	"math"
)

// Side is on which side of the usual something is trouble.
type Side uint8

const (
	Either Side = iota
	More
	Less
)

// Kind is one thing that is compared with its past.
type Kind struct {
	// Name stands in keys and in what is kept.
	Name string
	Side Side
	// Floor and Share of the usual are never unusual.
	Floor, Share float64
	// Samples make a block; Told is after how many odd blocks it is told, at most three.
	Samples, Told int
	Unit          string
	Decimals      int
	// Words say what it is, with the axis before them where it is of one; Next what to do.
	Words, Next string
}

const (
	MotorCurrent = iota
	SpeedPerDrive
	FollowingError
	SupplySag
	ColdSky
	LinkErrors
	CoolantRise
	CoolantFlow
	HeaterCurrent
)

// Of is what is known of a kind, one of the constants.
func Of(kind int) Kind { return kinds[kind] }

// How much is unusual is common practice, no source.
var kinds = [...]Kind{
	MotorCurrent: {"motor_current", More, 0.3, 0.3, 15, told, "A", 1, "motor takes",
		"Look for ice, stiff grease, a bearing, a brake that drags, imbalance."},
	SpeedPerDrive: {"speed", Less, 0, 0.12, 15, told, "°/s", 2, "at full drive goes",
		"Look at the motor's supply and brushes, the brake, and at what it has to move."},
	FollowingError: {"following_error", More, 0.01, 0.6, 60, told, "°", 3, "tracking is off by",
		"Look for increased backlash, a loose coupling, a mount that has come loose."},
	SupplySag: {"supply_sag", More, 0.3, 0.4, 15, told, "V", 1, "drive supply sags by",
		"Look at the battery's age, at fuses, terminals and the cable's resistance."},
	ColdSky: {"cold_sky", Either, 0.5, 0, 1, 2, "dB", 1, "cold sky is at",
		"More: snow or water in the dish or feed, interference. Less: gain lost in preamplifier or cable."},
	LinkErrors: {"link_errors", More, 1, 2, 10, told, "/min", 1, "link errors are",
		"Look at plugs, screen and earth of the cable, and at what was switched on nearby."},
	CoolantRise: {"coolant_rise", More, 3, 0.4, 30, told, "°C", 1, "the amplifier warms its coolant by",
		"Look at pump, level, filter and radiator before you go on transmitting."},
	CoolantFlow: {"coolant_flow", Less, 0.3, 0.2, 60, told, "L/min", 1, "coolant flows at",
		"Look at pump, level, filter and for a kink."},
	HeaterCurrent: {"feed_heater", Either, 0.1, 0.25, 60, told, "A", 2, "the feed heater takes",
		"Less: a broken element or plug. More: water, or a short that begins."},
}

// Class is the number of the class of some width that a value is in; unknown values have one of their own.
func Class(value, width float64) int {
	if math.IsNaN(value) {
		return -1000
	}
	return int(math.Floor(value / width))
}

// ClassWords says a class as a range.
func ClassWords(class int, width float64, unit string) string {
	if class == -1000 {
		return ""
	}
	return fmt.Sprintf("%.0f to %.0f %s", float64(class)*width, float64(class+1)*width, unit)
}
