// Package commission is the first work at a new dish, step by step: what must
// have been seen before the next thing moves, and what the pushes by hand tell of
// the axes. It is pure: Watch takes in what the enclosure shows, Do what the
// operator says, and the state is a plain value that is kept from one session to
// the next.
package commission

import (
	"math"
	"strings"
	"time"

	"beamhelm/app/message"
)

// Step is one step of the work. They are numbered as the operator sees them.
type Step uint8

// The steps, in their order.
const (
	Cautions Step = iota
	Link
	Stopping
	Motors
	EndSwitches
	Counts
	Speeds
	Reference
	Limits
	FirstPeak
	Report

	StepCount = 11
)

var names = [StepCount]string{
	"Before anything moves", "Link and identity", "Stop circuit and hand panel", "Each motor by hand",
	"End switches by hand",
	"Counts and backlash", "Speeds and stopping", "Reference", "Soft limits and ends", "First peak", "Report",
}

// String is the step's name.
func (s Step) String() string {
	if s >= StepCount {
		return "no step"
	}
	return names[s]
}

// Verdict is how a step stands. Only State.Do changes it.
type Verdict uint8

const (
	Open    Verdict = iota // may become done or refused
	Done                   // may be opened again
	Refused                // the operator leaves it out, and says why; may be opened again
)

// Mark is the verdict of a step, with when and why.
type Mark struct {
	Verdict Verdict   `json:"verdict,omitempty"`
	At      time.Time `json:"at"`
	Why     string    `json:"why,omitempty"`
}

// Way is what the operator saw the dish do.
type Way uint8

const (
	NotSaid Way = iota
	AsAsked
	OtherWay
)

// State is what is known so far. Its zero has not begun.
type State struct {
	Begun time.Time       `json:"begun"`
	Marks [StepCount]Mark `json:"marks"`
	// Agreed is when each caution was confirmed; zero where it was not.
	Agreed []time.Time `json:"agreed,omitempty"`

	StopOpened time.Time `json:"stop_opened"`
	StopCut    time.Time `json:"stop_cut"` // drive power went with it
	StopClosed time.Time `json:"stop_closed"`
	HandTaken  time.Time `json:"hand_taken"`
	HandGiven  time.Time `json:"hand_given"`
	// Ends are the end switches by axis, lower and upper.
	Ends [2][2]End `json:"ends"`
	// Seen is what the operator saw of the first pushes of each axis.
	Seen [2]Way `json:"seen"`
	// SeenWith is the drive's direction of the settings that it was seen with.
	SeenWith [2]int `json:"seen_with"`
	// Pushes are the newest, oldest first.
	Pushes    []Push      `json:"pushes,omitempty"`
	Rotations [2]Rotation `json:"turns"`
	// Soft are the soft limits at which a push was seen to be held, lower and upper.
	Soft [2][2]time.Time `json:"soft"`

	// What only matters while the program runs.
	meters   [2]meter
	stopOpen bool
	hand     bool
	powered  bool
	goodFor  time.Duration
	last     time.Duration
	errors   uint64 // when the link was good first
	zero     [2]zero
}

// End is what was seen of an end switch.
type End struct {
	// Opened and Closed are when it was seen to open at rest, and to close again.
	Opened time.Time `json:"opened"`
	Closed time.Time `json:"closed"`
	// Counts at which it opened while the axis was driven into it, with HasCounts.
	Counts    int32 `json:"counts"`
	HasCounts bool  `json:"has_counts"`
	open      bool
}

// Rotation is a known rotation of an axis.
type Rotation struct {
	From    int32   `json:"from"` // counts at its beginning
	HasFrom bool    `json:"has_from"`
	By      int32   `json:"by"`  // counts of the whole turn
	Deg     float64 `json:"deg"` // and how far that was; 0: not known
}

// maxPushes is how many are kept.
const maxPushes = 60

// Act is something the operator says or does.
type Act struct {
	Kind  ActKind
	Step  Step
	Axis  int
	Index int
	Yes   bool
	Deg   float64
	Words string
}

// ActKind says what an Act is.
type ActKind uint8

const (
	NoAct        ActKind = iota
	Begin                // the work begins, or goes on
	Agree                // caution Index is confirmed (Yes) or not
	Finish               // Step is done
	Refuse               // Step is left out; Words say why
	Reopen               // Step is open again
	Saw                  // the dish went as asked (Yes) or the other way, axis Axis
	RotationFrom         // a known rotation of axis Axis begins here
	RotationTo           // and ends here, after Deg degrees
	Anew                 // everything is forgotten
)

// Do takes in what the operator says; wrong tells why it can't be taken.
func (s *State) Do(c *Config, now *Now, a Act) (wrong message.Message) {
	if a.Kind == Begin {
		if s.Begun.IsZero() {
			s.Begun = now.At
		}
		return message.Message{}
	}
	if s.Begun.IsZero() {
		return message.Of("commission.not-begun")
	}
	if a.Step >= StepCount || a.Axis < 0 || a.Axis > 1 {
		return message.Of("commission.no-such-step")
	}
	switch a.Kind {
	case Agree:
		return s.agree(now, a)
	case Finish:
		if left := s.Left(c, now, a.Step); left.Code != "" {
			return left
		}
		s.Marks[a.Step] = Mark{Done, now.At, ""}
	case Refuse:
		why := strings.TrimSpace(a.Words)
		switch {
		case a.Step == Cautions:
			return message.Of("commission.no-skipping")
		case why == "":
			return message.Of("commission.say-why")
		}
		s.Marks[a.Step] = Mark{Refused, now.At, why}
	case Reopen:
		s.Marks[a.Step] = Mark{}
	case Saw:
		s.Seen[a.Axis], s.SeenWith[a.Axis] = OtherWay, c.axis(a.Axis).DriveDirection
		if a.Yes {
			s.Seen[a.Axis] = AsAsked
		}
	case RotationFrom:
		s.Rotations[a.Axis] = Rotation{From: now.Axes[a.Axis].Counts, HasFrom: true}
	case RotationTo:
		return s.endRotation(now, a)
	case Anew:
		*s = State{Begun: now.At}
	}
	return message.Message{}
}

func (s *State) agree(now *Now, a Act) message.Message {
	if a.Index < 0 || a.Index >= len(cautions) {
		return message.Of("commission.no-such-caution")
	}
	if len(s.Agreed) != len(cautions) {
		s.Agreed = make([]time.Time, len(cautions))
	} else {
		s.Agreed = append([]time.Time(nil), s.Agreed...)
	}
	s.Agreed[a.Index] = time.Time{}
	if a.Yes {
		s.Agreed[a.Index] = now.At
	} else {
		s.Marks[Cautions] = Mark{}
	}
	return message.Message{}
}

func (s *State) endRotation(now *Now, a Act) message.Message {
	t := &s.Rotations[a.Axis]
	switch {
	case !t.HasFrom:
		return message.Of("commission.rotation.unmarked")
	case !(math.Abs(a.Deg) >= 5 && math.Abs(a.Deg) <= 720):
		return message.Of("commission.rotation.range", a.Deg)
	}
	by := now.Axes[a.Axis].Counts - t.From
	if by > -20 && by < 20 {
		return message.Of("commission.rotation.small", by)
	}
	t.By, t.Deg = by, a.Deg
	return message.Message{}
}

// way is what was seen of an axis, as it would be with the settings of now.
func (s *State) way(c *Config, i int) Way {
	if s.Seen[i] != NotSaid && s.SeenWith[i] != c.axis(i).DriveDirection {
		return AsAsked + OtherWay - s.Seen[i]
	}
	return s.Seen[i]
}

// MayMove says that the cautions have been confirmed.
func (s *State) MayMove() bool { return s.Marks[Cautions].Verdict == Done }

// Next is the first step that is open; Report where none is.
func (s *State) Next() Step {
	for i, m := range s.Marks {
		if m.Verdict == Open {
			return Step(i)
		}
	}
	return Report
}
