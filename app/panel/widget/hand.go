package widget

import (
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// Hand moves the beam by hand for the nudge pad and the arrow keys alike: one
// step at a tap, a jog while a press lasts.
type Hand struct {
	desk    view.Desk
	step    float64
	changed []func()
}

// Steps returns the steps that can be chosen, in degrees of true angle on the sky.
func Steps() []float64 { return []float64{0.1, 0.5, 1} }

// NewHand returns a hand with the smallest step.
func NewHand(desk view.Desk) *Hand { return &Hand{desk: desk, step: Steps()[0]} }

// Step returns the step in degrees.
func (h *Hand) Step() float64 { return h.step }

// SetStep chooses the step, in degrees, and tells those who show it.
func (h *Hand) SetStep(degrees float64) {
	h.step = degrees
	for _, tell := range h.changed {
		tell()
	}
}

// OnStep has a function called whenever the step changes.
func (h *Hand) OnStep(tell func()) { h.changed = append(h.changed, tell) }

// Tap asks for one step towards a heading.
func (h *Hand) Tap(heading Heading) {
	step := unit.AngleFromDeg(h.step)
	h.desk.Ask(desk.Order{
		Kind: desk.Nudge,
		Az:   step.Mul(heading.Across()),
		El:   step.Mul(heading.Up()),
	})
}

// Renew asks for slow motion towards a heading until the order runs out.
func (h *Hand) Renew(heading Heading) {
	h.desk.Ask(desk.Order{
		Kind: desk.Jog,
		Az:   unit.Angle(heading.Across()),
		El:   unit.Angle(heading.Up()),
	})
}

// Arrow returns a nudge-pad arrow moved by this hand.
func (h *Hand) Arrow(heading Heading, name, tip string) *Arrow {
	return NewArrow(heading, name, tip,
		func() { h.Tap(heading) }, func() { h.Renew(heading) })
}
