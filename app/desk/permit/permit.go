// Package permit decides the transmit permit: whether the panel asks the
// sequencer to let the station transmit. The operator requests it; what stands
// against it is a list of inhibits. Some of them end the request, so that it must
// be made again; the others hold it, and the permit comes back when they are gone.
// A request is waited with only where time clears what stands against it.
//
// Step is pure: what it decides can be replayed from a record. It is a request to
// the sequencer, which alone protects amplifier and preamplifier.
package permit

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
)

// The readings that are watched.
const (
	Relay = iota // supply of the preamplifier relay, V
	CoolantIn
	CoolantOut
	CoolantFlow
	Watched // how many of them have limits

	// ForwardPower and ReflectedPower, W, make the standing wave ratio.
	ForwardPower   = Watched
	ReflectedPower = Watched + 1
	ReadingCount   = Watched + 2
)

// Limits of a reading, in its unit; NaN is not judged.
type Limits struct {
	Low, High float64
	// Hysteresis is how far inside a limit the reading must be before its inhibit ends.
	Hysteresis float64
}

// Label is what a reading is called.
type Label struct {
	Name, Unit string
	Decimals   int
}

// Sector is a part of the sky into which nothing is transmitted on some bands.
type Sector struct {
	Name string
	guard.Sector
	Bands []int // indices; empty: all
}

// Config are the conditions.
type Config struct {
	// MinElevationDeg is how high the beam must look.
	MinElevationDeg float64
	// OffTargetBeamwidths is how far the beam may be off the target, in half-power
	// beamwidths, and twice as far before an over that has begun is cut; 0: not judged.
	OffTargetBeamwidths float64
	// WhileSlewing allows to transmit while the dish slews or is jogged.
	WhileSlewing bool
	// MaxSWR is the greatest standing wave ratio; 0: not judged.
	MaxSWR float64
	// KeepFromSunDeg is how far the beam must keep from the Sun; 0: not judged.
	KeepFromSunDeg float64
	Sectors        []Sector
	Limits         [Watched]Limits
	Labels         [ReadingCount]Label
}

// State is what is carried from one step to the next. It is a plain value.
type State struct {
	Requested bool
	Given     bool
	Ended     Inhibit // what ended the last request, until the next
	// Band and Feed of the request, and the enclosure's trips in the step before.
	Band, Feed int
	Trips      uint16
	// Fitted readings have given something. Out are those beyond their limits.
	Fitted   [ReadingCount]bool
	Out      [Watched]Code
	Low, Sun bool // too low, too near the Sun
	Locked   bool // locked out in the step before
}

// Inputs are what a step may know. Angles on the sky are of the beam, with refraction.
type Inputs struct {
	// Request and Withdraw are the operator's presses.
	Request, Withdraw bool

	Working, HandPanel, Door bool
	LinkLost                 bool
	Locked, Stop             bool // locked out; Stop was pressed in this step
	Trips                    uint16
	// Guard is a trip of the drive that stands, Holds what else makes it withhold the
	// permit; Dropped: it has withdrawn the request.
	Guard, Holds guard.Code
	Dropped      bool
	ClockStepped bool
	FastTime     bool // practice time runs faster than real time
	Band, Feed   int

	Referenced, Slewing bool
	Az, El              unit.Angle
	HasTarget           bool
	// OffDeg is the true angle between beam and target, BeamwidthDeg the half-power
	// beamwidth, SunDeg the angle between beam and Sun (NaN: not known).
	OffDeg, BeamwidthDeg, SunDeg float64
	Readings                     [ReadingCount]float64 // NaN: nothing is read
	SequencerFault, Keyed        bool
}

// Output is what a step comes to.
type Output struct {
	// Give says that the permit is given.
	Give bool
	// Inhibits are all that stand against it now, requested or not.
	Inhibits []Inhibit
	// Refused is why a request of this step was not taken, Ended what ended a
	// request in this step; None where nothing did.
	Refused, Ended Inhibit
}

// Step decides the permit of the moment.
func Step(c *Config, s *State, in *Inputs) Output {
	if in.Request {
		s.Band, s.Feed, s.Trips = in.Band, in.Feed, in.Trips
	}
	out := Output{Inhibits: append(s.ending(c, in), s.holding(c, in)...)}
	if in.Holds != guard.None && len(out.Inhibits) == 0 {
		out.Inhibits = []Inhibit{{Code: DriveHolds, Guard: in.Holds}}
	}
	s.Trips = in.Trips
	ends, refuses := first(out.Inhibits, Code.Ends), first(out.Inhibits, Code.Refuses)
	if s.Locked && !in.Locked { // the operator released it, and knows
		s.Ended = Inhibit{}
	}
	s.Locked = in.Locked
	switch {
	case in.Withdraw:
		s.Requested, s.Ended = false, Inhibit{}
	case in.Request && refuses.Code != None:
		s.Requested, s.Ended, out.Refused = false, Inhibit{}, refuses
	case in.Request:
		s.Requested, s.Ended = true, Inhibit{}
	case s.Requested && ends.Code != None:
		s.Requested, s.Ended, out.Ended = false, ends, ends
	}
	out.Give = s.Requested && len(out.Inhibits) == 0
	s.Given = out.Give
	return out
}

// first is the first of the inhibits of a class; that of the zero code where there is none.
func first(list []Inhibit, class func(Code) bool) Inhibit {
	for _, i := range list {
		if class(i.Code) {
			return i
		}
	}
	return Inhibit{}
}

// ending are the inhibits that end the request.
func (s *State) ending(c *Config, in *Inputs) (list []Inhibit) {
	asked := s.Requested || in.Request
	swr := guard.SWR(in.Readings[ForwardPower], in.Readings[ReflectedPower])
	for _, row := range [...]struct {
		stands bool
		what   Inhibit
	}{
		{in.Working, Inhibit{Code: Working}},
		{in.HandPanel, Inhibit{Code: HandPanel}},
		{in.Door, Inhibit{Code: DoorOpen}},
		{in.LinkLost, Inhibit{Code: LinkLost}},
		{in.Locked, Inhibit{Code: LockedOut}},
		{in.Stop, Inhibit{Code: Stopped}},
		{asked && in.Trips&^s.Trips != 0, Inhibit{Code: Tripped}},
		{in.Guard != guard.None, Inhibit{Code: Guard, Guard: in.Guard}},
		{in.Dropped, Inhibit{Code: DriveDropped}},
		{asked && (in.Band != s.Band || in.Feed != s.Feed), Inhibit{Code: BandChanged}},
		{in.ClockStepped, Inhibit{Code: ClockStepped}},
		{in.FastTime, Inhibit{Code: FastTime}},
		{in.SequencerFault, Inhibit{Code: Sequencer}},
		{c.MaxSWR > 0 && swr > c.MaxSWR, Inhibit{Code: SWRHigh, Value: swr, Limit: c.MaxSWR}},
		{!in.Referenced, Inhibit{Code: NotReferenced}},
	} {
		if row.stands {
			list = append(list, row.what)
		}
	}
	return list
}

// The angles by which an inhibit outlasts its limit, so that it doesn't flutter.
const (
	elevationHysteresis = 0.2 // degrees
	sunHysteresis       = 0.2
)

// holding are the inhibits that hold the request.
func (s *State) holding(c *Config, in *Inputs) (list []Inhibit) {
	add := func(stands bool, what Inhibit) {
		if stands {
			list = append(list, what)
		}
	}
	add(in.Slewing && !c.WhileSlewing, Inhibit{Code: Slewing})
	if limit := c.OffTargetBeamwidths * in.BeamwidthDeg; c.OffTargetBeamwidths > 0 {
		if in.Keyed && s.Given {
			limit *= 2
		}
		add(!in.HasTarget, Inhibit{Code: NoTarget})
		add(in.HasTarget && !(in.OffDeg <= limit), Inhibit{Code: OffTarget, Value: in.OffDeg, Limit: limit})
	}
	s.Low = !(in.El.Deg() >= c.MinElevationDeg+widened(s.Low, elevationHysteresis))
	add(s.Low, Inhibit{Code: LowElevation, Value: in.El.Deg(), Limit: c.MinElevationDeg})
	for _, sector := range c.Sectors {
		add(sector.on(in.Band) && sector.Holds(in.Az, in.El), Inhibit{Code: ClosedSector, Name: sector.Name})
	}
	s.Sun = c.KeepFromSunDeg > 0 && in.SunDeg < c.KeepFromSunDeg+widened(s.Sun, sunHysteresis)
	add(s.Sun, Inhibit{Code: NearSun, Value: in.SunDeg, Limit: c.KeepFromSunDeg})
	for i := range in.Readings {
		what := s.reading(c, in, i)
		add(what.Code != None, what)
	}
	return list
}

// widened is the hysteresis of what stands.
func widened(stands bool, by float64) float64 {
	if stands {
		return by
	}
	return 0
}

// on reports whether a sector is closed on a band.
func (s *Sector) on(band int) bool {
	for _, b := range s.Bands {
		if b == band {
			return true
		}
	}
	return len(s.Bands) == 0
}

// reading is what stands against a reading: missing though it is fitted, or beyond its limits.
func (s *State) reading(c *Config, in *Inputs, i int) Inhibit {
	v, l := in.Readings[i], c.Labels[i]
	what := Inhibit{Name: l.Name, Value: v, Unit: l.Unit, Decimals: l.Decimals}
	if i < Watched && math.IsNaN(c.Limits[i].Low) && math.IsNaN(c.Limits[i].High) || i >= Watched && c.MaxSWR <= 0 {
		return Inhibit{}
	}
	if math.IsNaN(v) {
		if s.Fitted[i] {
			return Inhibit{Code: Missing, Name: l.Name}
		}
		return Inhibit{}
	}
	s.Fitted[i] = true
	if i >= Watched {
		return Inhibit{}
	}
	limits, was := c.Limits[i], s.Out[i]
	switch {
	case v < limits.Low+widened(was == TooLow, limits.Hysteresis):
		what.Code, what.Limit = TooLow, limits.Low
	case v > limits.High-widened(was == TooHigh, limits.Hysteresis):
		what.Code, what.Limit = TooHigh, limits.High
	}
	if s.Out[i] = what.Code; what.Code == None {
		return Inhibit{}
	}
	return what
}
