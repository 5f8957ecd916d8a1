package permit

import (
	"beamhelm/app/message"
	"beamhelm/drive/guard"
)

// Code names what inhibits transmitting.
type Code uint8

// The inhibits, in three classes. Those up to NotReferenced end the request: it must
// be made again. Those up to Missing refuse a new request, for waiting does not clear
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
	Guard         // a trip of the drive stands, Guard
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
	DriveHolds   // a guard of the drive withholds it, Guard

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
	Guard        guard.Code
	Value, Limit float64
	Unit         string
	Decimals     int // of a reading
}

// codes are the messages of the inhibits, shorts those in a word or two.
var codes, shorts = [codeCount]message.Code{
	Working: "permit.working", HandPanel: "permit.hand-panel", DoorOpen: "permit.door", LinkLost: "permit.link-lost",
	LockedOut: "permit.locked-out", Stopped: "permit.stopped", Tripped: "permit.tripped", Guard: "permit.guard",
	DriveDropped: "permit.dropped", BandChanged: "permit.band-changed", ClockStepped: "permit.clock-set",
	FastTime: "permit.fast-time", Sequencer: "permit.sequencer", SWRHigh: "permit.swr",
	NotReferenced: "permit.not-referenced", NoTarget: "permit.no-target", Missing: "permit.missing",
	Slewing: "permit.slewing", OffTarget: "permit.off-target", LowElevation: "permit.low",
	ClosedSector: "permit.sector", NearSun: "permit.sun", TooLow: "permit.too-low", TooHigh: "permit.too-high",
	DriveHolds: "permit.guard",
}, [codeCount]message.Code{
	Working: "permit.short.working", HandPanel: "permit.short.hand-panel", DoorOpen: "permit.short.door",
	LinkLost: "permit.short.link-lost", LockedOut: "permit.short.locked-out", Stopped: "permit.short.stopped",
	Tripped: "permit.short.tripped", Guard: "permit.short.tripped", DriveDropped: "permit.short.drive",
	BandChanged: "permit.short.band-changed", ClockStepped: "permit.short.clock-set",
	FastTime: "permit.short.fast-time", Sequencer: "permit.short.sequencer", SWRHigh: "permit.short.swr",
	NotReferenced: "permit.short.not-referenced", NoTarget: "permit.short.no-target",
	Missing: "permit.short.missing", Slewing: "permit.short.slewing", OffTarget: "permit.short.off-target",
	LowElevation: "permit.short.low", ClosedSector: "permit.short.sector", NearSun: "permit.short.sun",
	TooLow: "permit.short.too-low", TooHigh: "permit.short.too-high", DriveHolds: "permit.short.drive",
}

// past are the messages of inhibits that may be gone, where the message of now would say that they aren't.
var past = map[Code]message.Code{
	Working: "permit.past.working", HandPanel: "permit.past.hand-panel", DoorOpen: "permit.past.door",
	LinkLost: "permit.past.link-lost", LockedOut: "permit.past.locked-out", FastTime: "permit.past.fast-time",
	SWRHigh: "permit.past.swr", NotReferenced: "permit.past.not-referenced",
}

// Past is what was so when the inhibit ended a request, whether or not it still stands.
func (i Inhibit) Past() message.Message {
	words := i.Message()
	if code, has := past[i.Code]; has {
		words.Code = code
	}
	return words
}

// Short is the inhibit in a word or two. It is no replacement for Message.
func (i Inhibit) Short() message.Message { return message.Message{Code: shorts[i.Code]} }

// Message is the inhibit in full, as it stands in a sentence.
func (i Inhibit) Message() message.Message {
	figure := func(v float64) message.Figure { return message.Figure{Value: v, Decimals: i.Decimals, Unit: i.Unit} }
	switch code := codes[i.Code]; i.Code {
	case Guard, DriveHolds:
		return message.Of(code, i.Guard)
	case SWRHigh, OffTarget, LowElevation, NearSun:
		return message.Of(code, i.Value, i.Limit)
	case ClosedSector, Missing:
		return message.Of(code, i.Name)
	case TooLow, TooHigh:
		return message.Of(code, i.Name, figure(i.Value), figure(i.Limit))
	default:
		return message.Of(code)
	}
}
