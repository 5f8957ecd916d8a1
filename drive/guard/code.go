// Package guard holds the rows that watch the dish: what each one looks for,
// how long it waits, what it does, and what the operator should do next.
// Everything in it is a pure function of the facts it is given. It is part of
// a computer program, not a safety device: hard-wired end switches and a stop
// circuit that cuts drive power without any computer belong at the dish.
package guard

import "time"

// Code names a row.
type Code uint8

// The rows. The order is the order in which they are judged: causes before
// what they explain.
const (
	None Code = iota

	// The line, the loop and the window.
	WrongMap
	LinkLost
	LinkSilent
	LateLoop
	WindowSilent
	ReadingsStale
	CourseRunOut
	Restarted
	WatchdogTripped
	EnclosureClock

	// The enclosure's own state.
	StopCircuit
	StopCircuitOpened
	HandPanel
	HandPanelTaken
	DriveFault
	EncoderFault
	PowerDidNotComeOn
	PowerLost
	ImpossibleTransitions

	// Ends and limits.
	BothEnds
	EndSwitch
	EndElsewhere
	SoftLimit
	Structure

	// Motion against orders.
	TooFast
	MovingAfterStop
	WrongWay
	Stalled
	MotorSilent
	EncoderSilent
	MovingNotDriven
	NotObeyed
	NoProgress

	// Load, supplies and weather.
	MotorOverloaded
	SupplyLow
	OverTemperature
	WindStow
	WindWarning
	WindSensorMissing
	WindSensorFrozen
	SupplyMissing
	TemperatureMissing
	CurrentMissing
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
	PermitReadingMissing
	PermitWindowSilent

	CodeCount
)

// Response is what the loop does about a finding.
type Response uint8

// The responses. Those up to Stow last as long as the finding; the trips are
// latched, with their first cause, until the operator's Release.
const (
	// Notice tells, and does nothing else.
	Notice Response = iota
	// Warn tells with an amber mark.
	Warn
	// Withdraw takes the permit to transmit back.
	Withdraw
	// Block ends motion in one direction of one axis.
	Block
	// Pause holds the demands at zero; motion goes on when the finding is gone.
	Pause
	// Rest brings the axes to rest by the slope and holds them there.
	Rest
	// Stow asks the desk for the wind stow after a countdown that the operator can cancel.
	Stow
	// Trip stops at once and locks out; drive power stays on.
	Trip
	// TripPower stops at once, takes drive power off and locks out.
	TripPower
)

var responseWords = [...]string{"notice", "warning", "withdraw the permit", "block that direction", "pause",
	"stop under control and hold", "stow", "stop", "stop and power off"}

// String gives the response in words.
func (r Response) String() string {
	if int(r) < len(responseWords) {
		return responseWords[r]
	}
	return "unknown"
}

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
	// Behind are the causes that explain this row: while one of them stands, on
	// the same axis or for both, it is not judged.
	Behind   []Code
	Response Response
	// Refuses: while it stands no motion of any kind starts and no power comes on.
	Refuses bool
	// EndsPermit: it withdraws the transmit permit, and the request for it, as every trip does.
	EndsPermit bool
	// RefusesPower: while it stands no power comes on; with power on motion may still start.
	RefusesPower bool
	// Distrusts: it shows that counts and place may have parted, so that the axis
	// is no longer referenced.
	Distrusts bool
	// Always: a trip of this row locks out even where nothing was powered or moving.
	Always bool
	// Hold is how long the test must be true.
	Hold time.Duration
	// Test is true while the finding is there.
	Test func(c *Config, f *Facts, s *State, axis int) bool
}
