package step

import (
	"fmt"

	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// EventKind says what happened.
type EventKind uint8

const (
	// Found: a guard found something (Code, Axis). Gone: it no longer does.
	Found EventKind = iota + 1
	Gone
	// Tripped: a lock-out by Code on Axis.
	Tripped
	Stopped          // the operator pressed Stop and is locked out
	StoppedAtRest    // the operator pressed Stop, nothing moved
	Released         // the lock-out ended
	StandingStill    // after a stop, confirmed by the counts
	PowerOrdered     // drive power is asked for
	PowerCameOn      // and is on
	PowerWentOff     // ordered off
	PowerIdle        // went off by itself after the time at rest
	TripsNotCleared  // trips stayed after clearing
	Referenced       // Axis is trusted, by Value (a mount.Origin)
	Distrusted       // Axis is no longer trusted
	MarkPassed       // the mark of Axis was passed Value degrees from its place
	RefusedBy        // an order was refused because of Code
	RefusedLocked    // ... because the panel is locked out
	RefusedPower     // ... because drive power is off
	RefusedUntrusted // ... because the position of Axis is not trusted
	RefusedCourse    // ... because there is no course to follow
	RefusedLimit     // ... because the place is beyond the limits of Axis
	RefusedStructure // ... because a structure is in the way
	RefusedUnasked   // ... because power comes on only by a press
	RefusedNothing   // ... because no reply has come yet
	RefusedStands    // Release was refused because Code on Axis still stands
	RefusedEncoder   // a reference was refused because the enclosure says that the encoder of Axis failed
	RefusedEnd       // a reference was refused because the end switch of Axis that is open stands elsewhere
	RefusedMoving    // ... because the counts do not stand yet
	StartAnnounced   // the motion warning sounds
	StartCancelled   // and was cancelled
	StowAnnounced    // the wind stow counts down
	StowCancelled    // and was cancelled
	PermitGiven      // the permit is ordered
	PermitWithdrawn  // the permit is withdrawn because of Code
	Connected        // the first reply
	EnclosureAnswers // replies are back
	CourseJumped     // the course jumped by Value degrees as the computer's clock was set: it is not followed
	IllegalChange    // the program asked for a change of mode that may not be (Value: from * 256 + to)
	NoSuchNumber     // an order held something that is not a number
	RefusedBeyond    // a reference was refused because it has Axis stand beyond its end switches
	PermitReturned   // the operator withdrew the request for the permit
	StandingUnseen   // after a stop no drive is applied, but an encoder that failed can't confirm that the axis stands
)

// Event is something that happened. Numbers rise by one and never skip.
type Event struct {
	Number    uint64
	Now       Nanos
	WallNanos int64
	Kind      EventKind
	Code      guard.Code
	Axis      int8 // guard.NoAxis for neither
	Value     float64
}

// MaxEvents is the number of events kept in the state; the loop keeps more.
const MaxEvents = 32

var eventWords = [...]string{
	Found: "", Gone: "cleared: ", Tripped: "Locked out: ",
	Stopped: "Stopped by the operator", StoppedAtRest: "Stop pressed: nothing was moving, nothing changed",
	Released:      "Released",
	StandingStill: "Stopped, confirmed", PowerOrdered: "Drive power requested", PowerCameOn: "Drive power is on",
	PowerWentOff: "Drive power is off", PowerIdle: "Drive power went off after the set idle time",
	TripsNotCleared: "The enclosure's trips could not be cleared", Referenced: "Referenced",
	Distrusted: "Not referenced",
	MarkPassed: "Passed the mark", RefusedBy: "Refused: ", RefusedLocked: "Refused: locked out",
	RefusedPower:     "Refused: drive power is off",
	RefusedUntrusted: "Refused: the axis is not referenced; jog slowly and set the reference",
	RefusedCourse:    "Refused: there is no course to follow", RefusedLimit: "Refused: beyond the soft limit",
	RefusedStructure: "Refused: a structure is in the way",
	RefusedUnasked:   "Refused: drive power comes on only by a press",
	RefusedNothing:   "Refused: the enclosure has not answered yet",
	RefusedStands:    "Not released, the cause is still present: ",
	RefusedMoving:    "Not released: the counts have not stopped yet",
	StartAnnounced:   "The motion warning sounds: the dish will start",
	StartCancelled:   "The start was cancelled", StowAnnounced: "Wind stow when the countdown ends",
	StowCancelled: "The wind stow was cancelled",
	PermitGiven:   "Permit given", PermitWithdrawn: "Permit withdrawn", Connected: "The enclosure answers",
	CourseJumped: "The course jumped as the computer's clock was set: the dish holds. Check date and time, then " +
		"press Track again",
	RefusedEnd: "Refused: an end switch is open whose place is far from there; check the switch and its cable",
	RefusedEncoder: "Refused: the enclosure's encoder fault is still present; press Release or switch drive power " +
		"on to clear it, then set the position again",
	IllegalChange:    "A fault of the program was caught: a change of state that may not be was refused",
	EnclosureAnswers: "The enclosure answers again", NoSuchNumber: "Refused: not a number",
	RefusedBeyond:  "Refused: the axis can't be there, beyond its end switch",
	PermitReturned: "Permit withdrawn by the operator",
	StandingUnseen: "Drives off, standstill not confirmed: counts unreliable",
}

// String gives the event in words, without its time.
func (e Event) String() string {
	words := "event"
	if int(e.Kind) < len(eventWords) {
		words = eventWords[e.Kind]
	}
	switch e.Kind {
	case PermitWithdrawn:
		if e.Code == guard.None {
			return words + ": request it again"
		}
		words += ": " + guard.Lower(guard.RowOf(e.Code).Words)
	case Found:
		words = guard.RowOf(e.Code).Words
	case Gone, Tripped, RefusedBy, RefusedStands:
		words += guard.Lower(guard.RowOf(e.Code).Words)
	case Referenced:
		words += ", " + mount.Origin(e.Value).String()
	case MarkPassed:
		words += fmt.Sprintf(", %.2f degrees from its place", e.Value)
	}
	if e.Axis != guard.NoAxis {
		words = mount.AxisName(int(e.Axis)) + ": " + guard.Lower(words)
	}
	return words
}

func (s *State) note(in *Inputs, kind EventKind, code guard.Code, axis int8, value float64) {
	s.Event++
	s.Events[s.Event%MaxEvents] = Event{s.Event, in.Now, in.WallNanos, kind, code, axis, value}
}

func (s *State) say(in *Inputs, kind EventKind) { s.note(in, kind, guard.None, guard.NoAxis, 0) }
