// Package peak finds where the beam must look for most noise: from levels
// measured while the beam was swept across a source, or held beside it. It is pure.
package peak

import (
	"math"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/integrate/quad"
)

// Shape is how the noise of an evenly bright disc falls off as a Gaussian beam
// moves away from its middle: 1 at the middle. For a disc much smaller than the
// beam it is the beam itself, for one much wider its edges softened by the beam.
type Shape struct {
	// Width is the full width at half the height.
	Width unit.Angle
	// Beam is the half-power width of the beam that it was made for.
	Beam unit.Angle
	// Bend is how the noise without the source changes along the way: its part at the target, times
	// 1 + Bend[0] x² + Bend[1] x³, x in radians. The straight part of it is fitted. Zero: it doesn't bend.
	Bend  [2]float64
	step  float64   // of the table, radians
	table []float64 // from the middle outwards
}

// shapePoints is the number of places of the table of a shape, and reach how
// many widths of the beam it goes beyond the disc.
const (
	shapePoints = 400
	reach       = 2.2
)

// NewShape works out the shape for a beam of a full half-power width, above 0,
// and a disc of a diameter, 0 for a point.
func NewShape(halfPower, disc unit.Angle) Shape {
	width, radius := halfPower.Rad(), disc.Rad()/2
	s := Shape{Beam: halfPower, step: (reach*width + radius) / (shapePoints - 1), table: make([]float64, shapePoints)}
	for i := range s.table {
		s.table[i] = response(float64(i)*s.step, width, radius)
	}
	top := s.table[0]
	for i := range s.table {
		s.table[i] /= top
	}
	low, high := 0.0, float64(shapePoints-1)*s.step
	for range 60 {
		if middle := (low + high) / 2; s.at(middle) > 0.5 {
			low = middle
		} else {
			high = middle
		}
	}
	s.Width = unit.Angle(low + high)
	return s
}

// response is the noise of a disc whose middle is off the beam's: strips of the
// disc across the way, each the beam there times what of the beam's width the strip takes in.
func response(off, width, radius float64) float64 {
	beam := func(x float64) float64 { return math.Exp2(-4 * x * x / width / width) }
	if radius <= 0.005*width {
		return beam(off)
	}
	half := 2 * math.Sqrt(math.Ln2) / width
	// x = radius sin a: the strips' lengths have no corner at the disc's edge then.
	return quad.Fixed(func(a float64) float64 {
		x, long := radius*math.Sin(a), radius*math.Cos(a)
		return beam(off-x) * math.Erf(half*long) * long
	}, -math.Pi/2, math.Pi/2, 64, nil, 0)
}

// at is the shape's height at a distance in radians.
func (s Shape) at(off float64) float64 {
	place := math.Abs(off) / s.step
	i := int(place)
	if i >= len(s.table)-1 {
		return 0
	}
	part := place - float64(i)
	return s.table[i]*(1-part) + s.table[i+1]*part
}

// background is the noise without the source at a place, over that at the target, the straight part left out.
func (s Shape) background(off float64) float64 { return 1 + (s.Bend[0]+s.Bend[1]*off)*off*off }

// OwnWidth is the beam's own half-power width where a source made a curve so many times as wide as expected: the
// disc taken out. Both widths are known, so it is that of the beam which makes such a curve.
func (s Shape) OwnWidth(stretch float64, disc unit.Angle) unit.Angle {
	width := s.Width.Mul(stretch)
	if disc == 0 {
		return width
	}
	half, radius := width.Rad()/2, disc.Rad()/2
	low, high := 0.0, width.Rad()
	for range 40 {
		if middle := (low + high) / 2; response(half, middle, radius) < response(0, middle, radius)/2 {
			low = middle
		} else {
			high = middle
		}
	}
	return unit.Angle((low + high) / 2)
}

// OwnWidthError is the standard deviation of OwnWidth for that of the stretch. Near a disc much wider than the beam
// the beam hardly shows in the curve, and is known less well than the curve.
func (s Shape) OwnWidthError(stretch, deviation float64, disc unit.Angle) unit.Angle {
	return (s.OwnWidth(stretch+deviation, disc) - s.OwnWidth(stretch-deviation, disc)) / 2
}

// At is the shape's height at a distance from the middle.
func (s Shape) At(off unit.Angle) float64 { return s.at(off.Rad()) }
