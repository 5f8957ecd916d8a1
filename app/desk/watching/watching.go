// Package watching is what the desk keeps an eye on: readings against their limits, the list of alarms, and what the
// dish does now against what it usually does. It asks nothing of the dish.
package watching

import (
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/event"
	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// State is what is carried from one step to the next. Its zero is the beginning.
type State struct {
	Readings [enclosure.ReadingCount]alarm.Judged
	Alarms   alarm.List
	Past     past
	// What is usual of the readings, as it was found at that change.
	baselines   []Baseline
	baselinesAt uint64
	SunYear     sunYear
	driven      [2]driven
	had         [enclosure.ReadingCount]bool // there was a value, since the start hadSince of the enclosure
	hadSince    uint16
	seen        []seen     // what the axes did in the station check under way
	keyedAt     step.Nanos // when the sequencer was last seen away from receive
	swrAt       time.Time  // when the standing wave ratio was last too high
	Unordered   bool       // the enclosure gives a permit that isn't ordered, for long enough to be told
	Permits     bool       // a permit was ordered since the start
	// What lasts: a permit that isn't ordered, transmitting without one, readings that can't be. radiates says what
	// told of transmitting last.
	given, unpermitted lasting
	implausible        [enclosure.ReadingCount]lasting
	radiates           message.Message
}

// Line is how the line to the enclosure is.
type Line struct {
	// Trouble ended it last, or keeps it from being opened; empty for nothing.
	Trouble string
	// Errors are all, Keyed those while the transmitter was keyed.
	Errors, Keyed uint64
	// Refused is the exception with which the enclosure refused the newest request; empty for none.
	Refused string
	// Split: the enclosure does not know function 23 and is driven by two
	// requests in place of one.
	Split bool
}

// Around is how what runs beside the dish is. Each trouble is empty for none.
type Around struct {
	Line Line
	// RecordsTrouble says that nothing can be recorded and why, or what became of a damaged file; TimeTrouble
	// why the time source tells nothing, MeterTrouble why nothing comes from another meter than the enclosure's.
	RecordsTrouble, TimeTrouble, MeterTrouble string
	// Beside is what else beside the dish is in trouble.
	Beside []alarm.Condition
}

// Inputs are what a step may know of the moment.
type Inputs struct {
	At  time.Time
	Now step.Nanos
	// FastTime: practice time runs faster than real time. What the dish does then is not its usual.
	FastTime bool
	Loop     *step.Status
	Around   Around
	Band     string // its name
	// Commanded is where the axes are asked to be, Chain the way from the sky to them.
	Commanded mount.AxisAngles
	Chain     mount.Chain
	// Referenced says that the axes mean a place in the sky.
	Referenced bool
	// Disturbed says that the beam is beside the target, or is being moved about it to measure;
	// PressedAt is when the operator last moved it.
	Disturbed bool
	PressedAt step.Nanos
	// Checking says that a station check is running: what the axes do is recorded for it.
	Checking bool
	// PreamplifierOn says that it is switched on and was so for long enough for its supply to be judged.
	PreamplifierOn bool
	// Permit tells of the transmit permit.
	Requested bool
	Ended     permit.Inhibit
	Inhibits  []permit.Inhibit
}

// work is one step while it is worked out.
type work struct {
	c   *station.Config
	s   *State
	in  *Inputs
	log event.Log
}

// Step takes in what the dish does now, and returns what is to be told of it.
func Step(c *station.Config, s *State, in *Inputs) []event.Event {
	w := work{c: c, s: s, in: in, log: event.Log{At: in.At}}
	w.sunsYear()
	w.compare()
	w.noteReadings()
	w.judge()
	return w.log.Events
}
