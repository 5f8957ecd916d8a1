package mount

import (
	"errors"
	"fmt"
	"math"

	"github.com/soniakeys/unit"
)

// Scale is what one count of an axis encoder is worth.
type Scale struct {
	// Step is the angle of one count, positive.
	Step unit.Angle
	// Direction is +1 where counts rise with the angle, -1 where they fall.
	Direction int
}

// ScaleOf returns the scale of an incremental encoder with that many pulses
// per turn, every quadrature transition counted, geared ratio turns of the
// encoder to one of the axis: step = 360 degrees / (pulses * 4 * ratio).
// Pulses and ratio may be any positive decimal.
func ScaleOf(pulses, ratio float64, direction int) (Scale, error) {
	return scaleOf(pulses*4, ratio, direction)
}

// AbsoluteScaleOf is ScaleOf for an absolute encoder with that many counts
// per turn: step = 360 degrees / (counts * ratio).
func AbsoluteScaleOf(countsPerTurn uint32, ratio float64, direction int) (Scale, error) {
	return scaleOf(float64(countsPerTurn), ratio, direction)
}

func scaleOf(counts, ratio float64, direction int) (Scale, error) {
	turn := counts * ratio
	if !(counts > 0) || !(ratio > 0) || math.IsInf(turn, 1) {
		return Scale{}, fmt.Errorf("encoder: %v counts per turn geared %v to 1: both must be above 0", counts, ratio)
	}
	if direction != 1 && direction != -1 {
		return Scale{}, fmt.Errorf("encoder direction %d: must be 1 or -1", direction)
	}
	return Scale{Step: unit.Angle(2 * math.Pi / turn), Direction: direction}, nil
}

// CountsPerTurn is the number of counts in one turn of the axis.
func (s Scale) CountsPerTurn() float64 { return 2 * math.Pi / s.Step.Rad() }

// Validate names what cannot be used.
func (s Scale) Validate() error {
	if !(s.Step > 0) || s.Step > 1 {
		return fmt.Errorf("step of a count %v rad: must be above 0, at most 1 rad", s.Step.Rad())
	}
	if s.Direction != 1 && s.Direction != -1 {
		return errors.New("encoder direction must be 1 or -1")
	}
	return nil
}

// Zero ties counts to angles: at the instant the encoder passes the edge
// between count Counts-1 and count Counts, the axis stands at Angle.
type Zero struct {
	Counts int32
	Angle  unit.Angle
}

// Edge is the axis angle at the edge between counts count-1 and count.
// Counts wrap at 32 bits: count is taken as the one nearest to the zero's.
func (s Scale) Edge(z Zero, count int32) unit.Angle {
	return z.Angle + unit.Angle(float64(count-z.Counts)*float64(s.Direction))*s.Step
}

// Middle is the best single figure for an axis whose encoder shows count: the
// middle between its two edges.
func (s Scale) Middle(z Zero, count int32) unit.Angle {
	return s.Edge(z, count) + unit.Angle(float64(s.Direction)*0.5)*s.Step
}

// Entered is the axis angle at the instant the encoder came to count, from
// below (upward: counting up) or from above.
func (s Scale) Entered(z Zero, count int32, upward bool) unit.Angle {
	if upward {
		return s.Edge(z, count)
	}
	return s.Edge(z, count+1)
}

// Interval is the range of axis angles in which the encoder shows count, low <= high.
func (s Scale) Interval(z Zero, count int32) (low, high unit.Angle) {
	a, b := s.Edge(z, count), s.Edge(z, count+1)
	if a > b {
		return b, a
	}
	return a, b
}

// CountAt is the count that the encoder shows at the axis angle: the inverse
// of Interval. An angle exactly on an edge belongs to the count above it.
func (s Scale) CountAt(z Zero, angle unit.Angle) int32 {
	turns := (angle - z.Angle).Rad() / s.Step.Rad() * float64(s.Direction)
	return z.Counts + int32(int64(math.Floor(turns)))
}

// ZeroAt is the zero under which count's middle stands at angle.
func (s Scale) ZeroAt(count int32, angle unit.Angle) Zero {
	return Zero{Counts: count, Angle: angle - unit.Angle(float64(s.Direction)*0.5)*s.Step}
}
