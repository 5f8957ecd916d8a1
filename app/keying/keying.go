// Package keying keys the transmitter by RTS or DTR of a serial port. The line is owned by a small process of its
// own, which drops it when it hears nothing for lapse, when its input ends, or when the line has been
// high for the limit: so it falls when the program hangs, is stopped or dies. It is a request to the
// sequencer, which alone protects amplifier and preamplifier, and needs a limit of its own.
package keying

import "time"

// Line is one line of a port, low when the transmitter isn't keyed.
type Line interface {
	Set(high bool) error
	// Close drops the line and gives the port back.
	Close() error
}

// Keyer keys the transmitter. Its methods may be called from any goroutine and never block, but Close.
type Keyer interface {
	// Key keys, for no longer than the limit, or unkeys. Keying lasts for lapse only: it is to be asked for again and
	// again, by whoever judges whether to transmit. After that, the limit, or any trouble, nothing keys before
	// it was unkeyed.
	Key(on bool)
	State() State
	// Close unkeys, and returns when the line is given back.
	Close()
}

// State is how a keyer is.
type State struct {
	// Ready says that the line is there; High that it keys, as the owner of the line tells.
	Ready, High bool
	// Trouble says why it doesn't key, or no longer; empty for no trouble.
	Trouble string
}

const (
	// lapse is how long the line stays high without a sign of life, beat how often there is one.
	lapse = 300 * time.Millisecond
	beat  = 50 * time.Millisecond
	// MaxLimit is the longest limit of one transmission.
	MaxLimit = 5 * time.Second
)

// watchdog decides whether the line is high. It is a plain value; times are since any moment.
type watchdog struct {
	limit time.Duration

	high          bool
	heard, raised time.Duration
	// dropped says why it fell by itself; until an order to unkey comes it stays low.
	dropped string
}

// hear takes a sign of life that asks for the line to be high or low.
func (w *watchdog) hear(on bool, now time.Duration) {
	w.look(now)
	switch {
	case !on:
		w.high, w.dropped = false, ""
	case w.dropped != "":
	case !w.high:
		w.high, w.raised, w.heard = true, now, now
	default:
		w.heard = now
	}
}

// look drops the line where it has been high for too long, or nothing was heard.
func (w *watchdog) look(now time.Duration) {
	switch {
	case !w.high:
	case now-w.raised >= w.limit:
		w.high, w.dropped = false, "it was keyed for longer than the limit"
	case now-w.heard >= lapse:
		w.high, w.dropped = false, "the program gave no sign of life"
	}
}

// next is when to look again; it means something while the line is high.
func (w *watchdog) next() time.Duration { return min(w.raised+w.limit, w.heard+lapse) }
