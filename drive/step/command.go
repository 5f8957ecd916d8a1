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

	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
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

// Keep returns the angle that leaves an axis alone in a Slew, Setpoint or SetpointBy.
func Keep() unit.Angle { return keep }

// Command is one thing asked of the drive: a type each, in the list below.
type Command interface {
	// obey does it, or says why not. Its figures are numbers.
	obey(s *State, c *Config, in *Inputs)
}

// The commands. Asked says that a key or click of the last ten seconds is behind
// one: a start that is not asked for sounds the motion warning first. Axis is 0
// azimuth, 1 elevation.
type (
	// Stop ends every motion at once. With nothing moving or following it does not lock out.
	Stop struct{}
	// Release ends a lock-out whose cause is gone. Nothing starts by it.
	Release struct{}
	// Power switches drive power. It comes on only where Asked or Announced: announced
	// beforehand, so that it could be cancelled, as are the start of a survey's way, of an
	// armed pass or of the wind stow.
	Power struct{ On, Asked, Announced bool }
	// Hold brings the axes to rest by the slope and holds them there.
	Hold struct{}
	// Slew goes to those angles and holds there; NaN leaves that axis alone.
	Slew struct {
		To    mount.AxisAngles
		Asked bool
	}
	// Follow follows the course now in the state until Hold, Stop, trip or until it runs out.
	Follow struct{ Asked bool }
	// Jog moves the axes at -1 to 1 of the jog speed, + to rising angles, for
	// JogLife; it is renewed by the next one.
	Jog struct {
		AzSpeed, ElSpeed float64
		Asked            bool
	}
	// Push drives the axes at -1 to 1 of full drive, + to rising angles, whatever
	// their counts do, for JogLife; it is renewed by the next one. It is for
	// finding out what an axis does.
	Push struct {
		AzDrive, ElDrive float64
		Asked            bool
	}
	// Setpoint moves the setpoint while holding; NaN leaves that axis alone.
	Setpoint struct {
		To    mount.AxisAngles
		Asked bool
	}
	// SetpointBy moves the setpoint while holding by so much; NaN leaves that axis alone.
	SetpointBy struct {
		By    mount.AxisAngles
		Asked bool
	}
	// Reference says that an axis stands at Angle now, found as Origin says.
	Reference struct {
		Axis   int
		Angle  unit.Angle
		Origin mount.Origin
	}
	// TrustOffered takes the offered angle of an axis for its place.
	TrustOffered struct{ Axis int }
	// Distrust throws the reference of an axis away.
	Distrust struct{ Axis int }
	// Working sets or ends 'working at the dish': no start of any kind.
	Working struct{ On bool }
	// Permit requests (On, Asked), renews (On) or withdraws the transmit permit. A
	// renewal restores nothing that was withdrawn meanwhile; Held keeps the request
	// but gives no permit.
	Permit struct{ On, Asked, Held bool }
	// OutputsTo sets the slow outputs (register 0018, bits 0 to 7).
	OutputsTo struct{ Outputs enclosure.Outputs }
	// BandTo selects a band, 0 to 15, at the enclosure.
	BandTo struct{ Band int }
	// FeedTo turns the feed.
	FeedTo struct{ Angle unit.Angle }
	// ToleranceTo sets how far the axes may be off before they move, each an angle of
	// its axis, and how far off the target an over may begin, true angle; 0: not judged.
	ToleranceTo struct {
		Axes     mount.AxisAngles
		OffLimit unit.Angle
	}
	// Quiet keeps the axes still while following, as in the other station's turn,
	// until they are off by more than these angles of the axes; off: no longer.
	Quiet struct {
		On   bool
		Axes mount.AxisAngles
	}
	// CancelStart ends a start that the motion warning announces.
	CancelStart struct{}
	// CancelStow ends the countdown to a wind stow.
	CancelStow struct{}
	// WindowAlive says that the window draws and hears.
	WindowAlive struct{}
	// WindowGone says that there is no window: its silence means nothing.
	WindowGone struct{}
)

// Commands are one of each type, without figures.
func Commands() []Command {
	return []Command{Stop{}, Release{}, Power{}, Hold{}, Slew{}, Follow{}, Jog{}, Push{}, Setpoint{}, SetpointBy{},
		Reference{}, TrustOffered{}, Distrust{}, Working{}, Permit{}, OutputsTo{}, BandTo{}, FeedTo{}, ToleranceTo{},
		Quiet{}, CancelStart{}, CancelStow{}, WindowAlive{}, WindowGone{}}
}

// MaxCommands is the number of commands that a step takes; more wait for the next one.
const MaxCommands = 8

// VoidAfterStop reports whether a Stop makes a command void that was asked before it:
// one that asks for motion, drive power or the permit, or ends a lock-out.
func VoidAfterStop(m Command) bool {
	switch m := m.(type) {
	case Power:
		return m.On
	case Permit:
		return m.On
	case Release, Slew, Follow, Jog, Push, Setpoint, SetpointBy:
		return true
	}
	return false
}

// finite reports that a command holds only numbers; NaN is allowed where it
// means 'leave this axis alone'.
func finite(m Command) bool {
	switch m := m.(type) {
	case Slew:
		return angles(m.To, true)
	case Setpoint:
		return angles(m.To, true)
	case SetpointBy:
		return angles(m.By, true)
	case Jog:
		return number(m.AzSpeed + m.ElSpeed)
	case Push:
		return number(m.AzDrive + m.ElDrive)
	case Reference:
		return angle(m.Angle) && isAxis(m.Axis)
	case TrustOffered:
		return isAxis(m.Axis)
	case Distrust:
		return isAxis(m.Axis)
	case FeedTo:
		return angle(m.Angle)
	case ToleranceTo:
		return angles(m.Axes, false) && number(m.OffLimit.Rad())
	case Quiet:
		return angles(m.Axes, false)
	}
	return true
}

// angles reports that both are numbers that an axis may have, or NaN where that leaves it alone.
func angles(d mount.AxisAngles, keeps bool) bool {
	return (angle(d.Az) || keeps && math.IsNaN(d.Az.Rad())) && (angle(d.El) || keeps && math.IsNaN(d.El.Rad()))
}

func angle(a unit.Angle) bool { return math.Abs(a.Rad()) <= 100 }
func number(v float64) bool   { return !math.IsNaN(v) && !math.IsInf(v, 0) }
func isAxis(i int) bool       { return i == Azimuth || i == Elevation }
