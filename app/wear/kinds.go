package wear

import (
	"fmt"
	"math"

	"beamhelm/app/message"
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
	// Words say what it is, of the axis or the band where it is of one; Next what to do.
	Words, Next message.Code
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
	MotorCurrent: {"motor_current", More, 0.3, 0.3, 15, told, "A", 1,
		"wear.motor-current", "wear.motor-current.next"},
	SpeedPerDrive: {"speed", Less, 0, 0.12, 15, told, "°/s", 2,
		"wear.speed", "wear.speed.next"},
	FollowingError: {"following_error", More, 0.01, 0.6, 60, told, "°", 3,
		"wear.following-error", "wear.following-error.next"},
	SupplySag: {"supply_sag", More, 0.3, 0.4, 15, told, "V", 1,
		"wear.supply-sag", "wear.supply-sag.next"},
	ColdSky: {"cold_sky", Either, 0.5, 0, 1, 2, "dB", 1,
		"wear.cold-sky", "wear.cold-sky.next"},
	LinkErrors: {"link_errors", More, 1, 2, 10, told, "/min", 1,
		"wear.link-errors", "wear.link-errors.next"},
	CoolantRise: {"coolant_rise", More, 3, 0.4, 30, told, "°C", 1,
		"wear.coolant-rise", "wear.coolant-rise.next"},
	CoolantFlow: {"coolant_flow", Less, 0.3, 0.2, 60, told, "L/min", 1,
		"wear.coolant-flow", "wear.coolant-flow.next"},
	HeaterCurrent: {"feed_heater", Either, 0.1, 0.25, 60, told, "A", 2,
		"wear.heater-current", "wear.heater-current.next"},
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
