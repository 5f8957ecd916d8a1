package permit

import (
	"fmt"
	"strconv"
)

// Code names what inhibits transmitting.
type Code uint8

// The inhibits, in three classes. Those up to NotReferenced end the request: it must
// be made anew. Those up to Missing refuse a new request, for waiting does not clear
// them. All but the first class only hold a request that was taken: the permit comes
// by itself when they are gone.
const (
	None Code = iota

	Working       // somebody works at the dish
	HandPanel     // the hand panel has control
	DoorOpen      // the enclosure's door is open
	LinkLost      // no reply from the enclosure
	LockedOut     // by a trip or by Stop
	Stopped       // Stop was pressed
	Tripped       // the enclosure tripped since the request
	Guard         // a trip of the drive stands: Name has its words
	DriveDropped  // the drive withdrew it
	BandChanged   // another band or feed than that of the request
	ClockStepped  // the computer's clock was set
	FastTime      // practice time runs faster than real time
	Sequencer     // reports a fault
	SWRHigh       // Value above Limit
	NotReferenced // the position of an axis

	NoTarget // nothing to be on
	Missing  // no reading of Name, which gave readings before

	Slewing      // the dish slews or is jogged
	OffTarget    // Value above Limit, degrees of true angle
	LowElevation // Value below Limit, degrees
	ClosedSector // Name
	NearSun      // Value below Limit, degrees
	TooLow       // reading Name: Value below Limit, in Unit
	TooHigh      // reading Name: Value above Limit, in Unit
	DriveHolds   // a guard of the drive withholds it: Name has its words

	codeCount
)

// Ends reports whether an inhibit ends the request as well.
func (c Code) Ends() bool { return c > None && c <= NotReferenced }

// Refuses reports whether a new request is refused while the inhibit stands: the
// operator or a repair must clear it.
func (c Code) Refuses() bool { return c > None && c <= Missing }

// Inhibit is something that stands against transmitting.
type Inhibit struct {
	Code Code
	// Name, Value, Limit and Unit are the arguments of the code; zero where it has none.
	Name         string
	Value, Limit float64
	Unit         string
	Decimals     int // of a reading
}

// plain are the words of the codes without arguments.
var plain = [codeCount]string{
	Working: "somebody works at the dish", HandPanel: "the hand panel has control",
	DoorOpen: "the enclosure's door is open",
	LinkLost: "no reply from the enclosure", LockedOut: "the drives are locked out", Stopped: "Stop was pressed",
	Tripped:      "the enclosure tripped",
	DriveDropped: "the drive withdrew it", BandChanged: "band or feed changed",
	ClockStepped: "the computer's clock was set", FastTime: "practice time runs faster than real time",
	Sequencer: "the sequencer reports a fault", NotReferenced: "the position is not referenced",
	Slewing: "the dish slews", NoTarget: "there is no target",
}

// short are the codes in a word or two, for where there is little room.
var short = [codeCount]string{
	Working: "work at the dish", HandPanel: "hand panel", DoorOpen: "door open", LinkLost: "no link",
	LockedOut: "locked out", Stopped: "stopped",
	Tripped: "trip", Guard: "trip", DriveDropped: "by the drive", BandChanged: "band changed",
	ClockStepped: "clock set", FastTime: "fast time", Sequencer: "sequencer",
	SWRHigh: "high SWR", NotReferenced: "not referenced", Slewing: "slewing", NoTarget: "no target",
	OffTarget: "off target", LowElevation: "too low",
	ClosedSector: "closed sector", NearSun: "near the Sun", Missing: "no reading", TooLow: "reading low",
	TooHigh: "reading high", DriveHolds: "by the drive",
}

// Short names the inhibit in a word or two. It is no replacement for String.
func (i Inhibit) Short() string {
	if i.Code < codeCount {
		return short[i.Code]
	}
	return ""
}

// String names the inhibit in full, as it stands in a sentence.
func (i Inhibit) String() string {
	figure := func(v float64) string { return strconv.FormatFloat(v, 'f', i.Decimals, 64) + " " + i.Unit }
	switch i.Code {
	case Guard, DriveHolds:
		return i.Name
	case SWRHigh:
		return fmt.Sprintf("standing wave ratio %.1f, at most %.1f", i.Value, i.Limit)
	case OffTarget:
		return fmt.Sprintf("the beam is %.2f° off the target, at most %.2f°", i.Value, i.Limit)
	case LowElevation:
		return fmt.Sprintf("the beam is too low to transmit: elevation %.1f°, at least %.1f°", i.Value, i.Limit)
	case ClosedSector:
		return "the beam looks into the closed sector " + i.Name
	case NearSun:
		return fmt.Sprintf("the beam is %.1f° from the Sun, at least %.1f°", i.Value, i.Limit)
	case Missing:
		return "no reading of " + i.Name
	case TooLow:
		return fmt.Sprintf("%s %s, at least %s", i.Name, figure(i.Value), figure(i.Limit))
	case TooHigh:
		return fmt.Sprintf("%s %s, at most %s", i.Name, figure(i.Value), figure(i.Limit))
	}
	if i.Code < codeCount && plain[i.Code] != "" {
		return plain[i.Code]
	}
	return "not known"
}
