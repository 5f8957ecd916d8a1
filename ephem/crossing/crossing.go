// Package crossing finds when a smooth quantity passes through zero, and when it
// is greatest, without overlooking short visits to the other side.
package crossing

import "math"

// Search looks for the instants at which a margin changes sign. Instants are
// seconds from an epoch of the caller's. A margin of 0 counts as positive.
type Search struct {
	// Margin returns the margin at an instant, and for how many seconds from then
	// on it surely keeps its sign, 0 if that isn't known.
	Margin func(at float64) (margin, clear float64)
	// Step is the least step in seconds, taken where nothing is sure. Within it
	// the margin must look like a parabola, or short visits are overlooked.
	Step float64
}

// tolerance is how closely a crossing is located, seconds.
const tolerance = 1e-3

// Next returns the first instant after from, and not after to, at which the margin
// has the other sign than at from. The margin at the returned instant has the new sign,
// and the crossing lies less than a millisecond before it.
func (s Search) Next(from, to float64) (at float64, found bool) {
	here := s.sample(from)
	before := here
	for here.at < to {
		next := s.sample(min(here.at+max(s.Step, here.clear), to))
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

type sample struct{ at, margin, clear float64 }

func (p sample) positive() bool { return p.margin >= 0 }

func (s Search) sample(at float64) sample {
	margin, clear := s.Margin(at)
	return sample{at, margin, clear}
}

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

// narrow shrinks a bracket of two signs and returns its later end. It follows the
// straight line between the ends, kept half a tolerance off them so that the bracket
// closes from both sides, and halves at each third step, for margins that bend.
func (s Search) narrow(low, high sample) float64 {
	for step := 1; high.at-low.at > tolerance; step++ {
		part := 0.5
		if step%3 != 0 {
			part = low.margin / (low.margin - high.margin)
		}
		at := low.at + part*(high.at-low.at)
		middle := s.sample(max(low.at+tolerance/2, min(at, high.at-tolerance/2)))
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
	best, maximum := from, quantity(from)
	consider := func(at float64) {
		if value := quantity(at); value > maximum {
			best, maximum = at, value
		}
	}
	consider(to)
	for _, at := range Peaks(quantity, from, to, step) {
		consider(at)
	}
	return best
}

// Peaks returns the instants between from and to, in order, at which a quantity has a local
// maximum, to a hundredth of a second, with the condition of Greatest.
func Peaks(quantity func(at float64) float64, from, to, step float64) []float64 {
	var peaks []float64
	type sample struct{ at, value float64 }
	before := sample{from, math.Inf(-1)}
	here := sample{from, quantity(from)}
	for here.at < to {
		at := min(here.at+step, to)
		next := sample{at, quantity(at)}
		if here.value >= before.value && here.value > next.value {
			peaks = appendPeak(peaks, summit(quantity, before.at, next.at), from, to)
		}
		before, here = here, next
	}
	if here.at > before.at && here.value >= before.value {
		peaks = appendPeak(peaks, summit(quantity, before.at, to), from, to)
	}
	return peaks
}

// appendPeak leaves out what only creeps up to an end of the span.
func appendPeak(peaks []float64, at, from, to float64) []float64 {
	if at-from < 0.02 || to-at < 0.02 {
		return peaks
	}
	return append(peaks, at)
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
