package mount

import (
	"math"

	"github.com/soniakeys/unit"
)

// Offset is a small way from a direction, true angle on the sky: first El up
// the elevation circle, from there Cross, + clockwise, along the great circle
// square to it. It is exact at any size that does not pass the zenith.
type Offset struct{ Cross, El unit.Angle }

// Plus adds two offsets, component by component.
func (o Offset) Plus(p Offset) Offset { return Offset{o.Cross + p.Cross, o.El + p.El} }

// Minus is the offset the other way.
func (o Offset) Minus() Offset { return Offset{-o.Cross, -o.El} }

// Shift returns d moved by the offset. Azimuth keeps its turn: it changes by
// less than half one. In the frame of d (x towards d, y clockwise along the
// horizon, z up) the place moved to is (cos c cos e, sin c, cos c sin e).
func (d Direction) Shift(o Offset) Direction {
	sinC, cosC := o.Cross.Sincos()
	sinO, cosO := o.El.Sincos()
	return d.from(cosC*cosO, sinC, cosC*sinO)
}

// from turns a vector in the frame of d into a direction.
func (d Direction) from(x, y, z float64) Direction {
	sinE, cosE := d.El.Sincos()
	outward := x*cosE - z*sinE // horizontal part towards d's azimuth
	up := x*sinE + z*cosE
	return Direction{
		Az: d.Az + unit.Angle(math.Atan2(y, outward)),
		El: unit.Angle(math.Atan2(up, math.Hypot(outward, y))),
	}
}

// OffsetTo returns the offset that shifts d to other: the inverse of Shift,
// for offsets below a quarter turn.
func (d Direction) OffsetTo(other Direction) Offset {
	sinE, cosE := d.El.Sincos()
	sinO, cosO := other.El.Sincos()
	sinA, cosA := (other.Az - d.Az).Sincos()
	outward := cosO * cosA
	x := outward*cosE + sinO*sinE
	y := cosO * sinA
	z := -outward*sinE + sinO*cosE
	return Offset{
		Cross: unit.Angle(math.Asin(max(-1, min(1, y)))),
		El:    unit.Angle(math.Atan2(z, x)),
	}
}

// Unshift returns the direction that Shift with the same offset brings to d: the inverse of Shift.
func (d Direction) Unshift(o Offset) Direction {
	// With w for the direction sought: sin d.El = cos c sin(w.El+e), and the
	// azimuths differ by atan2(sin c, cos c cos(w.El+e)).
	sinC, cosC := o.Cross.Sincos()
	s := d.El.Sin() / cosC
	turned := math.Asin(max(-1, min(1, s))) // elevation of w plus o.El
	el := turned - o.El.Rad()
	az := d.Az - unit.Angle(math.Atan2(sinC, cosC*math.Cos(turned)))
	return Direction{az, unit.Angle(el)}
}
