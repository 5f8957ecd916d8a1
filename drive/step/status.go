package step

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
)

// PowerState is the state of drive power. Only State.power changes it.
type PowerState uint8

const (
	// PowerOff may become PowerClearing on the operator's press.
	PowerOff PowerState = iota
	// PowerClearing: trips are being cleared; becomes PowerAsked or PowerOff.
	PowerClearing
	// PowerAsked: the order is given, the drives do not yet have it; becomes PowerOn or PowerOff.
	PowerAsked
	// PowerOn may become PowerOff.
	PowerOn
)

var powerWords = [...]string{"off", "clearing trips", "coming on", "on"}

// String gives the power state in words.
func (p PowerState) String() string {
	if int(p) < len(powerWords) {
		return powerWords[p]
	}
	return "unknown"
}

// StopState follows a stop until the counts stand.
type StopState uint8

const (
	StopNone     StopState = iota
	StopAsked              // zero is demanded; the counts still move or are not known
	StopStanding           // standing still, confirmed by the counts
	StopDefied             // zero is demanded, and an axis is driven or moves all the same
	StopUnseen             // no drive is applied, but an encoder that failed can't confirm that the axis stands
)

// Pending reports that the dish has not come to rest since the stop, as far as is known.
func (p StopState) Pending() bool { return p == StopAsked || p == StopDefied }

// Lock is a lock-out with its first cause.
type Lock struct {
	Locked bool
	// Cause is the first cause; guard.None where the operator pressed Stop.
	Cause guard.Finding
	At    Nanos
	// Kept: it comes from the session before, and At says nothing.
	Kept bool
	// Releasable is false while the cause stands.
	Releasable bool
}

// AxisStatus is one axis as it is now.
type AxisStatus struct {
	Fitted  bool
	Trusted bool
	// Distrusted: its reference was contradicted or thrown away, and none was
	// given since. It is to be kept for the next session with Kept.
	Distrusted bool
	// Position is the angle measured; Estimated where it stands between two counts.
	// Meaningful only where Trusted, else it is the offered or an arbitrary angle.
	Position  unit.Angle
	Estimated bool
	// Low and High are the ends of the interval that the counts allow.
	Low, High unit.Angle
	// Setpoint is the angle asked for; meaningless unless HasSetpoint.
	Setpoint    unit.Angle
	HasSetpoint bool
	// Rate is radians a second, estimated.
	Rate float64
	// Demand and Applied are drives, -1 to 1, + to rising angles.
	Demand, Applied float64
	// CurrentA is amperes, NaN where not fitted.
	CurrentA float64
	// EndLow and EndHigh: that end switch is open.
	EndLow, EndHigh bool
	OnMark          bool
	Moving          bool // counts changed within the last second
	Counts          int32
	Step            unit.Angle
	// Reference is the one in force; its Origin is none where not Trusted. Kept
	// is the one to keep for the next session, trusted or not.
	Reference, Kept mount.Reference
	// MarkOff is how far from its place the mark was last passed; 0 before.
	MarkOff unit.Angle
	// Offered is the angle that the kept reference or the mark would give; valid with HasOffer.
	Offered       unit.Angle
	HasOffer      bool
	OfferedOrigin mount.Origin
	// StartsPerHour are motor starts over the last hour, or since the first tick.
	StartsPerHour float64
	Learned       motion.Learned
	// Arrives is the time left to the setpoint of a slew, seconds; 0 when there.
	ArrivesInSeconds float64
}

// PermitStatus is the leave to transmit.
type PermitStatus struct {
	Requested bool
	// Ordered is what the loop asks of the enclosure, Granted what it really gives.
	Ordered, Granted bool
	// Because is the first row that withholds it; None where nothing does.
	Because guard.Code
	Keyed   bool
}

// LinkStatus is the line as the loop sees it.
type LinkStatus struct {
	State LinkState
	// Age is the time since the newest accepted reply was received.
	Age Nanos
	// Snapshot is when the newest reply's counts were taken, in the loop's time: the moment of every axis's Is.
	Snapshot Nanos
	// Replies and Missed count ticks with and without an accepted reply since the first.
	Replies, Missed uint64
}

// Live reports that replies come: what the enclosure says is of now.
func (l LinkState) Live() bool { return l == LinkGood || l == LinkWaiting }

//go:generate go run golang.org/x/tools/cmd/stringer -type LinkState -output linkstate_string.go

// LinkState is the state of the line.
type LinkState uint8

// The states of the line.
const (
	LinkOpening LinkState = iota // no reply yet
	LinkGood
	LinkWaiting // replies missing, not yet lost
	LinkLost
	LinkRefused // the map version is not ours or an axis is missing
)

// MaxFindings is the number of findings that a status shows at once.
const MaxFindings = 16

// Status is everything the desk and other readers need, at one tick.
type Status struct {
	Now       Nanos
	WallNanos int64
	Tick      uint64

	Mode  Mode
	Power PowerState
	Stop  StopState
	Lock  Lock
	Axes  [2]AxisStatus
	// Moving: an axis moves or is driven, or may be (stale counts while powered).
	Moving  bool
	Working bool
	// StartsInSeconds is the time left of the motion warning, 0 when none runs.
	StartsInSeconds float64
	// StowsInSeconds is the time left of the countdown to a wind stow, 0 when
	// none runs; StowNow is set when it has run out, for the desk to act on.
	StowsInSeconds float64
	StowNow        bool
	// StowCancelled: the wind is still above the stow limit, and the operator cancelled the stow.
	StowCancelled bool
	Permit        PermitStatus
	Link          LinkStatus
	// CourseLeftSeconds is the time until the course runs out.
	CourseLeftSeconds float64
	Identity          enclosure.Identity
	Motion            enclosure.Motion
	HasMotion         bool
	Readings          enclosure.Readings
	ReadingsAge       time.Duration // of the older half of them
	// Findings are the guards that find something now, in the order of the rows.
	Findings     [MaxFindings]guard.Finding
	FindingCount int
	// LastEvent is the number of the newest event.
	LastEvent uint64
	// Lateness of the loop's ticks, filled in by the loop.
	Lateness Lateness
}

// Lateness of ticks in milliseconds since the start.
type Lateness struct {
	P50, P99, P999, Worst float64
	Ticks                 uint64
}
