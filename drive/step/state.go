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
	Illegal uint64 // changes of the mode that were refused; always 0 in a sound program

	Axes [2]AxisState

	Observed  observation
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
	Acquired  bool  // what is followed has been reached
	RestSince Nanos // since when nothing moved and nothing was asked
	MovedAt   Nanos // when a mode last moved an axis
	AskedAt   Nanos // when drive power was asked for
	ClearAt   Nanos // when clearing began
	Confirmed bool  // drive power has come on since it was asked for
	ClearOnce bool  // clear the trips that stand in the next write
	StandAt   Nanos // since when the counts stand after a Stop
	Rest      RestWatch
	Away      bool // the link was lost, and is not back
	Unseen    bool // an encoder failed in this stop or lock-out: its counts confirm no standstill
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
	// Distrusted: its reference was contradicted or thrown away, and none was given since.
	Distrusted bool
	Offered    mount.Zero // a zero that only waits for the operator's word
	OfferedBy  mount.Origin
	HasOffer   bool
	// Setpoint is meaningful with HasSetpoint.
	Setpoint    unit.Angle
	HasSetpoint bool
	// Goal is the place to which the plan drives it; valid with Pursued.
	Goal      unit.Angle
	Pursued   bool
	Jog       float64 // radians a second asked for by hand
	Tolerance unit.Angle
	Quiet     unit.Angle // the larger tolerance while quiet is kept; 0 while it is not
	Rise      Rise       // of its counts, by which the passing of a mark is judged
	// Mark entries seen last, valid with HasMark.
	Mark    uint16
	HasMark bool
	MarkOff unit.Angle // how far the mark was from its place when last passed
	// MarkAt is how far it was under this reference at first; valid with HasMarkAt.
	MarkAt    unit.Angle
	HasMarkAt bool
	Standing  int32 // counts when the axis was last found to stand
	MovedAt   Nanos // when its counts last changed
	Starts    Starts
	Demand    int16
}

// RestWatch looks at the counts a second at a time: a dish that rocks in the wind rests, one that is carried off
// doesn't.
type RestWatch struct {
	Have            bool
	Begun           Nanos
	From, Low, High [2]int32
	// Quiet are the seconds in a row in which no axis went further than it rocks; Moves: in the last one, one did.
	Quiet int
	Moves bool
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
	Asleep          time.Duration // since the newest reply, in which none was asked for
	Start           uint16
	HasStart        bool
	Restarted       bool // a start of the enclosure was seen in this step
	// StartSeen is a start that its trip and its clock told, counter or no, until
	// the references have been judged by it.
	StartSeen bool
}

// PermitState is the transmit permit.
type PermitState struct {
	Requested, Held, Ordered bool
	Stopped                  bool  // a Stop was asked in this step
	Until                    Nanos // when the request lapses unless it is renewed; 0: never
	At                       Nanos // when it was last ordered
	Because                  guard.Code
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

// Kept is what one session hands on to the next. Its zero says that there is nothing.
type Kept struct {
	References [2]mount.Reference
	Learned    [2]motion.Learned
	// Distrusted: that axis was distrusted when the session ended. Its reference
	// is only offered, however well the enclosure's start counter fits.
	Distrusted [2]bool
	// Locked: the session ended locked out by Cause (guard.None: by the operator's
	// Stop). The next one begins locked out, and demands Release.
	Locked bool
	Cause  guard.Finding
}

// New returns the state before the first step after a session that kept this.
func New(c *Config, kept Kept) State {
	var s State
	for i := range s.Axes {
		a := &s.Axes[i]
		a.Reference, a.Distrusted = kept.References[i], kept.Distrusted[i]
		a.Tolerance = c.Axes[i].Tolerance
		a.Motion.Learned = c.Axes[i].Drive.Fresh()
		if l := kept.Learned[i]; l.Gain != 0 && l.Valid() {
			a.Motion.Learned = l
		}
	}
	if kept.Locked {
		// Nothing is known of the counts yet: that the dish stands is confirmed again.
		s.Mode, s.Stop = LockedOut, StopAsked
		s.Lock = Lock{Locked: true, Cause: kept.Cause, Kept: true}
		s.Unseen = kept.Cause.Code == guard.EncoderSilent || kept.Cause.Code == guard.EncoderFault
		if kept.Cause.Code == guard.None {
			s.Lock.Cause.Axis = guard.NoAxis
		}
	}
	return s
}

// enter changes the mode, as successors allows and no other way. A change that
// may not be is a fault of the program: it is refused, counted and said.
func (s *State) enter(m Mode, in *Inputs) {
	if s.Mode == m {
		return
	}
	if !s.Mode.mayBecome(m) || s.Lock.Locked != (m == LockedOut) {
		s.Illegal++
		s.note(in, IllegalChange, guard.None, guard.NoAxis, float64(int(s.Mode)<<8|int(m)))
		return
	}
	now := in.Now
	switch s.Mode {
	case Slewing, Following, Jogging, Halting:
		s.MovedAt = now
	}
	s.Mode = m
	s.RestSince = now
	if m == Idle || m == LockedOut {
		for i := range s.Axes {
			s.Axes[i].HasSetpoint = false
		}
	}
}

// lockOut stops and locks out by the first cause, until release.
func (s *State) lockOut(in *Inputs, cause guard.Finding) {
	s.Lock = Lock{Locked: true, Cause: cause, At: in.Now}
	s.enter(LockedOut, in)
}

// rest is the mode without drive power, unless locked out: that ends by Release alone.
func (s *State) rest(in *Inputs) {
	if s.Mode != LockedOut {
		s.enter(Idle, in)
	}
}

// active reports whether the mode moves, or may at once move, an axis.
func (m Mode) active() bool {
	return m == Halting || m == Jogging || m == Slewing || m == Following || m == Warning
}
