package drive

import (
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
)

// Ask says what an exchange is for.
type Ask uint8

const (
	// AskMotion writes the demand and reads the motion block: the tick.
	AskMotion Ask = iota
	// AskSlow writes demand and slow orders and reads the motion block, in place of a tick.
	AskSlow
	// AskIdentity reads the identity.
	AskIdentity
	// AskReadings reads the lower half of the readings, with the latches before
	// them (003F-004B with 0036-003F once a second); AskMoreReadings the upper half.
	AskReadings
	AskMoreReadings
)

// Request is one exchange to be made.
type Request struct {
	Ask    Ask
	Demand enclosure.Demand
	Slow   enclosure.SlowOrders
	// At is the loop's time at which the request is made, Deadline that at which waiting ends.
	At, Deadline step.Nanos
}

// Reply is what came of it. Without Err the fields that the request asked for are set.
type Reply struct {
	Motion   enclosure.Motion
	Identity enclosure.Identity
	// Readings holds what the exchange read; see enclosure.Readings for how parts are put together.
	Readings enclosure.Readings
	// SentAt is when the request began to leave, ReceivedAt when the reply was complete, in the loop's time.
	SentAt, ReceivedAt step.Nanos
	// Split: the enclosure does not know function 23, so that an exchange takes
	// two requests; there is time for five a second then.
	Split bool
	Err   error
}

// Exchanger makes one exchange at a time with the enclosure. Exchange returns by
// the request's deadline, whatever the line does; sequence, connection and
// reopening are its own affair.
type Exchanger interface {
	Exchange(Request) Reply
}
