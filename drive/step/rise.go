package step

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// Rise is how far the counts of an axis have risen without falling back. The
// enclosure says which way the last count went, and that is not enough to know at
// which of its two edges a mark was entered: an axis that rocks at the far edge, by
// less than a count, goes out and comes in again with its last count upwards.
type Rise struct {
	From, Top int32 // the counts at which it began, and the highest of it
	// On and OnTop are the lowest and highest counts at which the mark showed in this rise; valid with HasOn.
	On, OnTop int32
	Have      bool
	HasOn     bool
}

// minRise is how far an axis must have risen before a mark is taken to be entered
// at its near edge: further than wind rocks a dish (common practice, no source).
var minRise = unit.AngleFromDeg(0.5)

// riseCounts is the same in counts.
func riseCounts(s *mount.Scale) int32 {
	return max(4, int32(math.Ceil(minRise.Rad()/s.Step.Rad())))
}

// take follows the counts. Counts wrap at 32 bits: only differences are looked at.
func (r *Rise) take(s *mount.Scale, counts int32, onMark bool) {
	minimum := riseCounts(s)
	switch {
	case !r.Have, counts-r.From < 0, r.Top-counts >= (minimum+1)/2:
		*r = Rise{From: counts, Top: counts, Have: true}
	case counts-r.Top > 0:
		r.Top = counts
	}
	switch {
	case onMark && !r.HasOn:
		r.On, r.OnTop, r.HasOn = counts, counts, true
	case onMark:
		if counts-r.On < 0 {
			r.On = counts
		}
		if counts-r.OnTop > 0 {
			r.OnTop = counts
		}
	case !onMark && r.HasOn && counts-r.OnTop > minimum:
		r.HasOn = false // it lies behind
	}
}

// entered reports whether a mark that was latched at some counts was entered at its
// near edge: the axis came from well below, and the mark hadn't shown before.
func (r *Rise) entered(s *mount.Scale, counts int32) bool {
	return r.Have && counts-r.From >= riseCounts(s) && !(r.HasOn && counts-r.On > 1)
}
