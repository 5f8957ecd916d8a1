package link

import "beamhelm/drive/rtu"

// Counts tells how exchanges ended.
type Counts struct {
	// Good had a reply that counted.
	Good uint64
	// Silent had no reply, Damaged only input whose CRC was wrong, Stale only
	// replies to older requests. Exceptions were refused. Failed is an error of the port.
	Silent, Damaged, Stale, Exceptions, Failed uint64
	// StaleReplies were dropped on the way, also in exchanges that ended well.
	StaleReplies uint64
}

// Errors are the exchanges that had no reply that counted.
func (c Counts) Errors() uint64 { return c.Silent + c.Damaged + c.Stale + c.Exceptions + c.Failed }

// add takes in what a master counted in between.
func (c *Counts) add(before, after rtu.Counts) {
	c.Good += after.Good - before.Good
	c.Silent += after.Silent - before.Silent
	c.Damaged += after.Damaged - before.Damaged
	c.Stale += after.StaleOnly - before.StaleOnly
	c.Exceptions += after.Exceptions - before.Exceptions
	c.Failed += after.NotSent - before.NotSent
	c.StaleReplies += after.StaleReplies - before.StaleReplies
}

// Status is the state of a link.
type Status struct {
	// Open: the port is open. Answered: an enclosure has answered since then.
	Open, Answered bool
	// Opened counts how often the port has been opened.
	Opened int
	// WithoutReadWrite: the enclosure does not know function 23; it is driven by
	// two requests in place of one, for which 5 exchanges a second are enough.
	WithoutReadWrite bool
	// Quiet counts exchanges while the transmitter was not keyed, Keyed those while it was.
	Quiet, Keyed Counts
	// Refused is the exception that the newest exchange ended in; empty for none.
	Refused string
	// Trouble is what ended the line last, or keeps it from being opened; empty for nothing.
	Trouble string
}
