// Package view turns the desk's status into words, figures and tones: what the
// window says, without how it is drawn. Every function is pure.
package view

import (
	"time"

	"beamhelm/app/desk"
)

// Desk is what the window needs of the operator's desk.
type Desk interface {
	// Status returns the newest status, never nil.
	Status() *desk.Status
	// Ask hands over an order. It never blocks.
	Ask(desk.Order)
	// NoiseSince appends the noise samples after the numbered one to into.
	NoiseSince(number uint64, into []desk.NoiseSample) []desk.NoiseSample
	// EventsSince appends the events after the numbered one to into.
	EventsSince(number uint64, into []desk.Event) []desk.Event
	// Alive is the window's sign of life; the follower calls it at every tick.
	Alive()
}

// Now is what the window shows at one tick: the newest status and how far it
// can be believed.
type Now struct {
	*desk.Status
	// Tick counts the follower's ticks, ten a second.
	Tick uint64
	// Full says that everything may be brought up to date at this tick; at others
	// only the axes have moved, if anything. See Hold.
	Full bool
	// New says that something may be shown at this tick that was not at the one before.
	New bool
	// Silence is how long no new status came.
	Silence time.Duration
	// Live says that the figures are of now. False when the loop is silent or
	// the link is down: then figures are shown greyed, as the last known.
	Live bool
	// Replay says of when the figures are while a trip is replayed; empty else.
	Replay string
	// Heard are the noise levels recorded around a moment that is replayed, oldest first; none where nothing was.
	Heard []desk.NoiseSample
}

// LostAfter is the silence of the loop after which contact is shown as lost.
const LostAfter = 800 * time.Millisecond

// At returns the Now of a status after a silence.
func At(status *desk.Status, tick uint64, silence time.Duration) Now {
	good := status.Link.State.Live()
	return Now{Status: status, Tick: tick, Full: true, Silence: silence, Live: good && silence < LostAfter}
}

// Tone is the meaning of a colour.
type Tone uint8

const (
	Plain     Tone = iota // words
	Faint                 // labels and what matters less
	Old                   // not live
	Wanted                // what is asked for
	Measured              // what is
	MoonTone              // the Moon's own
	SunTone               // the Sun's own
	Attention             // a warning
	Alarming              // an alarm
	OnFill                // words on a filled control
)

// GradeTone returns the tone of a grade; normal gives the tone otherwise.
func GradeTone(grade desk.Grade, otherwise Tone) Tone {
	switch grade {
	case desk.Warning:
		return Attention
	case desk.AlarmGrade:
		return Alarming
	}
	return otherwise
}
