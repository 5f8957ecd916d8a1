package step

import (
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// Reply is the newest accepted motion reply of the enclosure.
type Reply struct {
	// Fresh is true in the step that sees this reply first.
	Fresh  bool
	Motion enclosure.Motion
	// SentAt is when its request left, ReceivedAt when the reply was complete.
	SentAt, ReceivedAt Nanos
}

// Inputs is everything a step may know of the moment. It is a plain value.
type Inputs struct {
	Now       Nanos
	WallNanos int64
	Reply     Reply
	// Identity is valid with HasIdentity, from the first connection on.
	Identity    enclosure.Identity
	HasIdentity bool
	// Readings are the newest; what was never read is not fitted.
	Readings enclosure.Readings
	// ReadingsAt is when their lower and upper halves came; 0 before.
	ReadingsAt [2]Nanos
	// LateBy is how late this tick began.
	LateBy Nanos
	// ClockOffset of the system's clock against a time source, where one is set.
	ClockOffset    Nanos
	HasClockOffset bool

	Commands     [MaxCommands]Command
	CommandCount int
	// Course is the newest; NewCourse is true in the step that sees it first.
	Course    Course
	NewCourse bool
	// Sun is the direction of the Sun as the axes would have to point, for a
	// bare dish that must keep away from it; valid with HasSun.
	Sun    mount.AxisAngles
	HasSun bool
}

// Outputs are the orders of a step for the enclosure. The sequence belongs to
// whoever speaks on the line.
type Outputs struct {
	Demand enclosure.Demand
	// Slow orders are to be sent in place of the plain tick when SlowDue.
	Slow    enclosure.SlowOrders
	SlowDue bool
}
