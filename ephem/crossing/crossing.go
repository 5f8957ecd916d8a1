// Package crossing finds when a smooth quantity passes through zero, and when it
// is greatest, without overlooking short visits to the other side.
package crossing

import "math"

// Search looks for the instants at which a margin changes sign. Instants are
// seconds from an epoch of the caller's. A margin of 0 counts as positive.
type Search struct {
	Margin func(at float64) float64
	// Fastest is a bound on how fast the margin can change, per second: from a
	// margin m nothing can cross within m/Fastest, and that is skipped.
	Fastest float64
	// Step is the least step in seconds, taken near zero. Within it the margin
	// must look like a parabola.
	Step float64
}

// tolerance is how closely a crossing is located, seconds.
const tolerance = 1e-3

// Next returns the first instant after from, and not after to, at which the margin
// has the other sign than at from. The margin at the returned instant has the new sign,
// and the crossing lies less than a millisecond before it.
func (s Search) Next(from, to float64) (at float64, found bool) {
	here := sample{from, s.Margin(from)}
	before := here
	for here.at < to {
		step := max(s.Step, math.Abs(here.margin)/s.Fastest)
		next := s.sample(min(here.at+step, to))
		if next.positive() != here.positive() {
			return s.narrow(here, next), true
		}
		if peak, ok := s.visit(before, here, next); ok {
			return s.narrow(before, peak), true
		}
		before, here = here, next
	}
	return 0, false
}

type sample struct{ at, margin float64 }

func (p sample) positive() bool { return p.margin >= 0 }

func (s Search) sample(at float64) sample { return sample{at, s.Margin(at)} }

// visit looks between three samples of one sign for a short visit to the other:
// where the middle one is nearest to zero, at the vertex of their parabola.
func (s Search) visit(a, b, c sample) (peak sample, found bool) {
	size := math.Abs
	if !(a.at < b.at && size(b.margin) <= size(a.margin) && size(b.margin) <= size(c.margin)) {
		return peak, false
	}
	left := (b.margin - a.margin) / (b.at - a.at)
	right := (c.margin - b.margin) / (c.at - b.at)
	bend := (right - left) / (c.at - a.at)
	if bend == 0 {
		return peak, false
	}
	vertex := (a.at+b.at)/2 - left/(2*bend)
	if !(vertex > a.at && vertex < c.at) {
		return peak, false
	}
	// The parabola is trusted to a tenth of its own height above the samples.
	lift := bend * (vertex - b.at) * (vertex - b.at)
	if size(b.margin) > 1.1*size(lift)+1e-7 {
		return peak, false
	}
	peak = s.sample(vertex)
	return peak, peak.positive() != b.positive()
}

// narrow halves a bracket of two signs and returns its later end.
func (s Search) narrow(low, high sample) float64 {
	for high.at-low.at > tolerance {
		middle := s.sample(low.at + (high.at-low.at)/2)
		if middle.positive() == low.positive() {
			low = middle
		} else {
			high = middle
		}
	}
	return high.at
}

// Greatest returns the instant from from to to at which a quantity is greatest, to
// a hundredth of a second. Within two steps it must have one maximum at most.
func Greatest(quantity func(at float64) float64, from, to, step float64) float64 {
	best := sample{from, quantity(from)}
	consider := func(at float64) sample {
		p := sample{at, quantity(at)}
		if p.margin > best.margin {
			best = p
		}
		return p
	}
	before, here := best, best
	for here.at < to {
		next := consider(min(here.at+step, to))
		if here.margin >= before.margin && here.margin >= next.margin && here.at > before.at {
			consider(summit(quantity, before.at, next.at))
		}
		before, here = here, next
	}
	// A maximum in the first or last step shows in no sample between others.
	consider(summit(quantity, from, min(from+step, to)))
	consider(summit(quantity, max(from, to-step), to))
	return best.at
}

// summit returns the place of the one maximum between two instants (golden section).
func summit(quantity func(at float64) float64, low, high float64) float64 {
	const golden = 0.6180339887498949
	left, right := high-golden*(high-low), low+golden*(high-low)
	atLeft, atRight := quantity(left), quantity(right)
	for high-low > 0.01 {
		if atLeft >= atRight {
			high, right, atRight = right, left, atLeft
			left = high - golden*(high-low)
			atLeft = quantity(left)
		} else {
			low, left, atLeft = left, right, atRight
			right = low + golden*(high-low)
			atRight = quantity(right)
		}
	}
	return (low + high) / 2
}
