package step

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
)

// State is everything that is carried from one step to the next. It is a plain
// value: a copy of it, the configuration and the inputs since replay what
// happened. Its fields are exported so that it can be recorded; only Step changes them.
type State struct {
	Tick    uint64
	Last    Nanos // Inputs.Now of the step before
	LastUTC int64

	Mode    Mode
	Pending Mode // what follows the motion warning
	WarnEnd Nanos
	Power   PowerState
	Stop    StopState
	Lock    Lock

	Axes [2]AxisState

	Seen      seen
	Line      Line
	Guard     guard.State
	Facts     guard.Facts  // what the guards were shown in this step
	Limits    guard.Config // and by what they judged it
	Verdict   guard.Verdict
	Permit    PermitState
	Slow      SlowState
	Course    Course
	Working   bool
	Window    bool // a window is expected
	WindowAt  Nanos
	JogEnd    Nanos
	Pushing   bool  // the jog is a push
	RestSince Nanos // since when nothing moved and nothing was asked
	MovedAt   Nanos // when a mode last moved an axis
	AskedAt   Nanos // when drive power was asked for
	ClearAt   Nanos // when clearing began
	Confirmed bool  // drive power has come on since it was asked for
	ClearOnce bool  // clear the trips that stand in the next write
	StandAt   Nanos // since when the counts stand after a Stop
	Stow      StowState
	OffLimit  unit.Angle // how far off the target an over may begin

	Events [MaxEvents]Event
	Event  uint64 // number of the newest
}

// AxisState is what is carried for one axis.
type AxisState struct {
	Motion    motion.Axis
	Reference mount.Reference
	Trusted   bool
	Offered   mount.Zero // a zero that only waits for the operator's word
	OfferedBy mount.Origin
	HasOffer  bool
	// Want is meaningful with HasWant.
	Want      unit.Angle
	HasWant   bool
	Jog       float64 // radians a second asked for by hand
	Tolerance unit.Angle
	Quiet     unit.Angle // the larger tolerance while quiet is kept; 0 while it is not
	// Mark entries seen last, valid with HasMark.
	Mark     uint16
	HasMark  bool
	MarkOff  unit.Angle // how far the mark was from its place when last passed
	Standing int32      // counts when the axis was last found to stand
	MovedAt  Nanos      // when its counts last changed
	Starts   Starts
	Demand   int16
}

// Starts counts motor starts in the minutes of the last hour.
type Starts struct {
	Minutes [60]uint16
	Minute  int64
	Begun   Nanos
	Driven  bool
}

// Line is what is known of the way to the enclosure.
type Line struct {
	Connected bool
	At        Nanos // when the newest reply was received
	// Offset is loop time less the enclosure's clock; Latency is from sending a
	// request to the snapshot of its reply.
	Offset, Latency time.Duration
	Millis          uint32
	Snapshot        Nanos
	Replies, Missed uint64
	Start           uint16
	HasStart        bool
	Restarted       bool // the start counter changed in this step
}

// PermitState is the leave to transmit.
type PermitState struct {
	Wanted, Ordered bool
	At              Nanos // when it was last ordered
	Because         guard.Code
}

// SlowState is the slow orders.
type SlowState struct {
	Wanted  enclosure.SlowOrders
	Due     bool
	Sending bool
}

// StowState is the countdown to a wind stow.
type StowState struct {
	Running, Cancelled, Now bool
	End                     Nanos
}

// New returns the state before the first step. Kept are the references of the
// last session; their zero says that there are none. Learned likewise.
func New(c *Config, kept [2]mount.Reference, learned [2]motion.Learned) State {
	var s State
	for i := range s.Axes {
		a := &s.Axes[i]
		a.Reference = kept[i]
		a.Tolerance = c.Axes[i].Tolerance
		a.Motion.Learned = c.Axes[i].Drive.Fresh()
		if learned[i].Gain != 0 && learned[i].Valid() {
			a.Motion.Learned = learned[i]
		}
	}
	return s
}

// enter changes the mode. What each may become is said at its name.
func (s *State) enter(m Mode, now Nanos) {
	if s.Mode == m {
		return
	}
	switch s.Mode {
	case Slewing, Following, Jogging, Halting:
		s.MovedAt = now
	}
	s.Mode = m
	s.RestSince = now
	if m == Resting || m == LockedOut {
		for i := range s.Axes {
			s.Axes[i].HasWant = false
		}
	}
}

// active reports whether the mode moves, or may at once move, an axis.
func (m Mode) active() bool {
	return m == Halting || m == Jogging || m == Slewing || m == Following || m == Warning
}
