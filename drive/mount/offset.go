package mount

import "github.com/soniakeys/unit"

// Offset is a small way from a direction, true angle on the sky: first El up
// the elevation circle, from there Cross, + clockwise, along the great circle
// square to it. It is exact at any size that does not pass the zenith.
type Offset struct{ Cross, El unit.Angle }

// Plus adds two offsets, component by component.
func (o Offset) Plus(p Offset) Offset { return Offset{o.Cross + p.Cross, o.El + p.El} }

// Minus is the offset the other way.
func (o Offset) Minus() Offset { return Offset{-o.Cross, -o.El} }
