// Package event is what the parts of the desk tell the operator: a grade and words, at a moment.
package event

import (
	"fmt"
	"strings"
	"time"

	"beamhelm/app/alarm"
)

// Event is something that happened.
type Event struct {
	// Number is given when it is published; numbers never skip.
	Number uint64
	At     time.Time
	Grade  alarm.Grade
	Words  string
}

// Log collects the events of a step, in their order.
type Log struct {
	At     time.Time
	Events []Event
}

// Say appends an event of the moment of the log.
func (l *Log) Say(g alarm.Grade, format string, args ...any) {
	l.Events = append(l.Events, Event{At: l.At, Grade: g, Words: fmt.Sprintf(format, args...)})
}

// Capital is the words with a capital at their beginning.
func Capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}
