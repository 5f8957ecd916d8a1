package mount

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"
)

// MaxStructures is the number of structures that a Floor holds.
const MaxStructures = 16

// Structure is something the dish must stay above.
type Structure struct {
	// From and To are azimuths, clockwise from From to To; a full turn when equal.
	From, To unit.Angle
	// Least is the least elevation between them.
	Min unit.Angle
}

// Floor is how low the dish may go: the highest of the structures at an azimuth.
type Floor struct {
	Structures [MaxStructures]Structure
	Count      int
}

// Validate names the structure that cannot be used.
func (f *Floor) Validate() error {
	if f.Count < 0 || f.Count > MaxStructures {
		return fmt.Errorf("%d structures: at most %d", f.Count, MaxStructures)
	}
	for i, s := range f.Structures[:f.Count] {
		if sum := s.From.Rad() + s.To.Rad(); math.IsNaN(sum) || math.IsInf(sum, 0) ||
			!(s.Min.Deg() >= -10 && s.Min.Deg() <= 90) {
			return fmt.Errorf(
				"structure %d: from %.1f to %.1f degrees, minimum elevation %.1f: azimuths must be numbers, the "+
					"elevation -10 to 90 degrees",
				i+1, s.From.Deg(), s.To.Deg(), s.Min.Deg())
		}
	}
	return nil
}

// Least is the least elevation at an azimuth, which need not be folded to a
// circle; ok is false where nothing stands.
func (f *Floor) Min(azimuth unit.Angle) (minimum unit.Angle, ok bool) {
	for _, s := range f.Structures[:f.Count] {
		if s.over(azimuth) && (!ok || s.Min > minimum) {
			minimum, ok = s.Min, true
		}
	}
	return minimum, ok
}

func (s Structure) over(azimuth unit.Angle) bool {
	width := (s.To - s.From).Mod1()
	return width == 0 || (azimuth-s.From).Mod1() <= width
}

// MinBetween is the highest of the floor anywhere between two azimuths, the
// shorter of them first or not; both on the cable wrap.
func (f *Floor) MinBetween(a, b unit.Angle) (minimum unit.Angle, ok bool) {
	if a > b {
		a, b = b, a
	}
	for _, s := range f.Structures[:f.Count] {
		// The structure is met when the way starts over it or comes to one of its sides.
		to := (s.From - a).Mod1()
		if (s.over(a) || to <= b-a) && (!ok || s.Min > minimum) {
			minimum, ok = s.Min, true
		}
	}
	return minimum, ok
}
