// Package event is what the parts of the desk tell the operator: a grade and a message, at a moment.
package event

import (
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
)

// Event is something that happened.
type Event struct {
	// Number is given when it is published; numbers never skip.
	Number uint64
	At     time.Time
	Grade  alarm.Grade
	Words  message.Message
}

// Log collects the events of a step, in their order.
type Log struct {
	At     time.Time
	Events []Event
}

// Say appends an event of the moment of the log.
func (l *Log) Say(g alarm.Grade, code message.Code, args ...any) {
	l.Tell(g, message.Of(code, args...))
}

// Tell appends an event of the moment of the log.
func (l *Log) Tell(g alarm.Grade, m message.Message) {
	l.Events = append(l.Events, Event{At: l.At, Grade: g, Words: m})
}
