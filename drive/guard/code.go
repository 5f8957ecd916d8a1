// Package guard holds the rows that watch the dish: what each one looks for,
// how long it waits, what it does, and what the operator should do next.
// Everything in it is a pure function of the facts it is given. It is part of
// a computer program, not a safety device: hard-wired end switches and a stop
// circuit that cuts drive power without any computer belong at the dish.
package guard

// Code names a row.
type Code uint8

// The rows. The order is the order in which they are judged: causes before
// what they explain.
const (
	None Code = iota

	// The line, the loop and the window.
	WrongMap
	LinkLost
	LateLoop
	WindowSilent
	CourseRunOut
	Restarted
	WatchdogTripped

	// The enclosure's own state.
	StopCircuit
	HandPanel
	PowerDidNotComeOn
	PowerLost
	DriveFault
	EncoderFault
	ImpossibleTransitions

	// Ends and limits.
	BothEnds
	EndSwitch
	SoftLimit
	Structure

	// Motion against orders.
	MovingAfterStop
	Blocked
	EncoderSilent
	MotorSilent
	WrongWay
	MovingNotDriven
	TooFast

	// Load, supplies and weather.
	MotorOverloaded
	SupplyLow
	OverTemperature
	WindWarning
	WindStow
	WindSensorMissing
	WindSensorFrozen
	DoorOpen
	WorkingAtDish
	SunNear

	// Clock.
	ClockStepped
	ClockOff

	// The permit to transmit.
	PermitLowElevation
	PermitClosedSector
	PermitRelaySupply
	PermitSequencer
	PermitReflected
	PermitCoolant
	PermitOffTarget

	CodeCount
)

// Response is what the loop does while a row's finding stands, or, for a trip,
// once.
type Response uint8

// The responses, in rising order of what they end.
const (
	// Notice tells, and does nothing else.
	Notice Response = iota
	// Warn tells with an amber mark.
	Warn
	// Withdraw takes the permit to transmit back.
	Withdraw
	// Block ends motion in one direction of one axis.
	Block
	// Rest brings the axes to rest by the slope and holds them there; not latched.
	Rest
	// Stow asks the desk for the wind stow after a countdown that the operator can cancel.
	Stow
	// Trip stops at once and locks out until Release; drive power stays on.
	Trip
	// TripPower stops at once, takes drive power off and locks out until Release.
	TripPower
)

// NoAxis is the axis of a finding that belongs to neither.
const NoAxis = -1

// Finding is a row that found something, on an axis (0 azimuth, 1 elevation) or NoAxis.
type Finding struct {
	Code Code
	Axis int8
}

// Row is one guard.
type Row struct {
	Code Code
	// Name is short and stable, for records and scripts: "link lost".
	Name string
	// Words say what was found, Next what the operator should do.
	Words, Next string
	// PerAxis rows are judged once for each axis.
	PerAxis bool
	// Behind are the causes that explain this row: while one of them stands it
	// is not judged.
	Behind   []Code
	Response Response
	// Test is true while the finding is there. How long it must be there is
	// the row's own affair: Hold says it in words for the handbook.
	Test func(c *Config, f *Facts, s *State, axis int) bool
	Hold string
}
