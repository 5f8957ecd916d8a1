// Package radio is the radio side of the desk: what the path by way of the Moon does to a signal, with whom and when,
// what the antenna hears, and which passes are worth it. It asks nothing of the dish.
package radio

import (
	"time"

	"beamhelm/app/desk/station"
)

// Inputs are what a step may know of the moment.
type Inputs struct {
	At         time.Time
	Band, Feed int
	// SunFlux is the Sun's flux on the band, W m⁻² Hz⁻¹; 0 where it isn't known.
	SunFlux float64
	// ClockOffset is how far the computer's clock is behind the time source, meant with HasClockOffset.
	ClockOffset    time.Duration
	HasClockOffset bool
	// Dialled is what the radio's own dial shows.
	Dialled Dialled
}

// Outputs are what a step tells.
type Outputs struct {
	// Path is the radio path, nil where it isn't worked out; Then the same for the moment looked at, if any.
	Path, Then *Path
	Period     Period
	Plan       *Plan  // nil where it isn't worked out
	Skeds      *Skeds // nil where nobody looks at them
	// Shading is the noise over the sky, nil where it isn't asked for or known.
	Shading *Shading
}

// work is one step while it is worked out.
type work struct {
	c  *station.Config
	s  *State
	in *Inputs
}

// Step works the radio side out for a moment.
func Step(c *station.Config, s *State, in *Inputs) (out Outputs) {
	w := work{c: c, s: s, in: in}
	out.Path, out.Period, out.Plan = w.radio(), s.Period(in.At), w.month()
	out.Then, out.Skeds, out.Shading = w.then(), w.skeds(), w.shading()
	out.Period.Mode, out.Period.ClockOffset, out.Period.HasClockOffset = s.Mode, in.ClockOffset, in.HasClockOffset
	return out
}
