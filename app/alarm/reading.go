// Package alarm judges readings against their limits and keeps the list of
// what stands and has not been seen. It is pure: the moment comes in.
package alarm

import (
	"math"
	"time"
)

// Grade is how bad something is.
type Grade uint8

const (
	Normal Grade = iota
	Notice
	Warning
	Alarm
)

// Limits of a reading, in its unit. A limit that is not a number is not judged.
type Limits struct {
	AlarmLow, WarningLow, WarningHigh, AlarmHigh float64
	// Hysteresis is how far inside a limit the reading must be before its grade falls.
	Hysteresis float64
	// Hold is how long a limit must be crossed before it counts.
	Hold time.Duration
}

// Judged is what a reading's past adds up to. Its zero is normal.
type Judged struct {
	Grade Grade
	// rising is the grade that will be reached when it has held since then.
	rising Grade
	since  time.Time
}

// Next judges a value at a moment. A value that is not a number changes
// nothing: what is not read is neither good nor bad.
func (j Judged) Next(l Limits, value float64, now time.Time) Judged {
	if math.IsNaN(value) {
		return j
	}
	strict, lenient := grade(l, value, 0), grade(l, value, l.Hysteresis)
	if strict <= j.Grade {
		// Inside its limits by the hysteresis, a grade falls at once.
		j.Grade = max(strict, min(lenient, j.Grade))
		j.rising = Normal
		return j
	}
	if strict != j.rising {
		if j.rising == Normal || strict < j.rising {
			j.since = now
		}
		j.rising = strict
	}
	if now.Sub(j.since) >= l.Hold {
		j.Grade, j.rising = strict, Normal
	}
	return j
}

// grade of a value where every limit stands inside by margin.
func grade(l Limits, value, margin float64) Grade {
	switch {
	case value < l.AlarmLow+margin, value > l.AlarmHigh-margin:
		return Alarm
	case value < l.WarningLow+margin, value > l.WarningHigh-margin:
		return Warning
	}
	return Normal
}

// Crossed is the limit that a value of that grade has crossed, and whether it
// is a least (true) or a most; ok is false when none is.
func (l Limits) Crossed(value float64, g Grade) (limit float64, minimum, ok bool) {
	low, high := l.WarningLow, l.WarningHigh
	if g == Alarm {
		low, high = l.AlarmLow, l.AlarmHigh
	}
	switch {
	case g < Warning:
		return 0, false, false
	case value < low+l.Hysteresis:
		return low, true, true
	case value > high-l.Hysteresis:
		return high, false, true
	}
	return 0, false, false
}
