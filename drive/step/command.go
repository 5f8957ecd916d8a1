// Package step is the heart of the drive: from configuration, state and the
// inputs of a tick to a new state and the orders for the enclosure. It is pure,
// allocates nothing, and its state and inputs are plain values, so that a
// record of them replays at a desk.
//
// Within a step always, in this order: guard, commands, plan, limits, outputs.
//
// Axis angles are unit.Angle, radians; azimuth runs over the cable wrap.
// Time is a monotonic count of nanoseconds, wall time beside it.
package step

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Nanos is monotonic time since an arbitrary zero, in nanoseconds.
type Nanos = time.Duration

// Azimuth and Elevation index what is kept once for each axis.
const (
	Azimuth   = 0
	Elevation = 1
)

// keep is the angle, not a number, that leaves an axis where it is commanded to be.
var keep = unit.Angle(math.NaN())

// Keep returns the angle that leaves an axis alone in a Slew or Setpoint command.
func Keep() unit.Angle { return keep }

// CommandKind says what a Command asks.
type CommandKind uint8

// The commands. Each comment names the fields used.
const (
	// Stop ends every motion at once. With nothing moving or following it does not lock out.
	Stop CommandKind = iota + 1
	// Release ends a lock-out whose cause is gone.
	Release
	// Power switches drive power (On). It comes on only where Asked or Announced.
	Power
	// Hold brings the axes to rest by the slope and holds them there.
	Hold
	// Slew goes to the axis angles Az, El and holds there; NaN leaves that axis alone.
	Slew
	// Follow follows the course now in the state until Hold, Stop, trip or until it runs out.
	Follow
	// Jog moves the axes at AzDrive, ElDrive (-1 to 1 of the jog speed, + to
	// rising angles) for JogLife; it is renewed by the next one.
	Jog
	// Setpoint moves the setpoint while holding to Az, El; NaN leaves that axis alone.
	Setpoint
	// SetpointBy moves the setpoint while holding by Az, El.
	SetpointBy
	// Reference says that axis Axis stands at Az now, found as Origin says.
	Reference
	// TrustOffered takes the offered angle of axis Axis for its place.
	TrustOffered
	// Distrust throws the reference of axis Axis away.
	Distrust
	// Working sets (On) or ends 'working at the dish': no start of any kind.
	Working
	// Permit requests (On, Asked), renews (On) or withdraws the transmit permit. A
	// renewal restores nothing that was withdrawn meanwhile; Held keeps the request
	// but gives no permit.
	Permit
	// OutputsTo sets the slow outputs to Value (register 0018, bits 0 to 7).
	OutputsTo
	// BandTo selects band Value, 0 to 15, at the enclosure.
	BandTo
	// FeedTo turns the feed to Az.
	FeedTo
	// ToleranceTo sets how far the axes may be off before they move, Az and El,
	// each an angle of that axis, and by Limit how far off the target an over may begin.
	ToleranceTo
	// Quiet (On) keeps the axes still while following, as in the other station's
	// turn, until they are off by more than Az, El, angles of the axes; off: no longer.
	Quiet
	// CancelStart ends a start that the motion warning announces.
	CancelStart
	// CancelStow ends the countdown to a wind stow.
	CancelStow
	// WindowAlive says that the window draws and hears.
	WindowAlive
	// WindowGone says that there is no window: its silence means nothing.
	WindowGone
	// Push drives the axes at AzDrive, ElDrive (-1 to 1 of full drive, + to
	// rising angles), whatever their counts do, for JogLife; it is renewed by the
	// next one. It is for finding out what an axis does.
	Push
)

// Command is one thing asked of the drive.
type Command struct {
	Kind CommandKind
	// Axis is 0 azimuth, 1 elevation.
	Axis   int8
	Origin uint8 // a mount.Origin
	// On is the new state of what is switched.
	On bool
	// Asked says that a key or click of the last ten seconds is behind it. A
	// start that is not sounds the motion warning first.
	Asked bool
	Held  bool
	// Announced, of Power, says that it was announced beforehand and could be cancelled:
	// the start of a survey's way, of an armed pass or of the wind stow. It comes on without a press then.
	Announced        bool
	Value            int32
	Az, El           unit.Angle
	AzDrive, ElDrive float64
	// Limit, of ToleranceTo, is how far off the target an over may begin, true angle; 0: not judged.
	Limit unit.Angle
}

// MaxCommands is the number of commands that a step takes; more wait for the next one.
const MaxCommands = 8

// Starts reports whether the command asks for motion, drive power or the permit,
// or ends a lock-out: what a Stop makes void.
func (m *Command) Starts() bool {
	switch m.Kind {
	case Power, Permit:
		return m.On
	case Release, Slew, Follow, Jog, Push, Setpoint, SetpointBy:
		return true
	}
	return false
}
