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
	steps   [view.StepCount]float64 // degrees
	chosen  int
	changed []func()
}

// NewHand returns a hand with the first step, a tenth of the beam; before the beam is told it is one of 1 degree.
func NewHand(desk view.Desk) *Hand {
	return &Hand{desk: desk, steps: view.Steps(unit.AngleFromDeg(1))}
}

// Steps returns the steps that can be chosen, in degrees of true angle on the sky, by the beam that was told last.
func (h *Hand) Steps() [view.StepCount]float64 { return h.steps }

// Chosen returns the index of the step in use.
func (h *Hand) Chosen() int { return h.chosen }

// Step returns the step in degrees.
func (h *Hand) Step() float64 { return h.steps[h.chosen] }

// SetStep chooses one of the steps by its index, and tells those who show it.
func (h *Hand) SetStep(index int) {
	h.chosen = index
	h.tell()
}

// SetBeam has the steps follow a half-power beamwidth; those who show them are told of a change. The choice stays.
func (h *Hand) SetBeam(halfPower unit.Angle) {
	steps := view.Steps(halfPower)
	if halfPower <= 0 || steps == h.steps {
		return
	}
	h.steps = steps
	h.tell()
}

func (h *Hand) tell() {
	for _, tell := range h.changed {
		tell()
	}
}

// OnStep has a function called whenever the steps or the choice change.
func (h *Hand) OnStep(tell func()) { h.changed = append(h.changed, tell) }

// Tap asks for one step towards a heading.
func (h *Hand) Tap(heading Heading) {
	step := unit.AngleFromDeg(h.Step())
	h.desk.Ask(desk.Nudge{By: desk.Offset{Cross: step.Mul(heading.Across()), El: step.Mul(heading.Up())}})
}

// Renew asks for slow motion towards a heading until the order runs out.
func (h *Hand) Renew(heading Heading) {
	h.desk.Ask(desk.Jog{Az: heading.Across(), El: heading.Up()})
}

// Arrow returns a nudge-pad arrow moved by this hand.
func (h *Hand) Arrow(heading Heading, name, tip string) *Arrow {
	return NewArrow(heading, name, tip,
		func() { h.Tap(heading) }, func() { h.Renew(heading) })
}
