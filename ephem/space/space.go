// Package space holds vectors, rotations and the angles between them.
package space

import (
	"math"

	"github.com/soniakeys/unit"
)

// Vector is a place or velocity in some rectangular frame. It is a struct, not an
// array, because the compiler keeps only structs in registers.
type Vector struct{ X, Y, Z float64 }

// Plus returns a+b.
func (a Vector) Plus(b Vector) Vector { return Vector{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Minus returns a-b.
func (a Vector) Minus(b Vector) Vector { return Vector{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Times returns a, k times as long.
func (a Vector) Times(k float64) Vector { return Vector{a.X * k, a.Y * k, a.Z * k} }

// Dot returns the scalar product.
func (a Vector) Dot(b Vector) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Length returns the length.
func (a Vector) Length() float64 { return math.Sqrt(a.Dot(a)) }

// Cross returns the vector product.
func (a Vector) Cross(b Vector) Vector {
	return Vector{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Unit returns a with length 1; of no length it has no direction.
func (a Vector) Unit() Vector { return a.Times(1 / a.Length()) }

// Direction returns the unit vector of an angle along the circle of x and y (from x
// towards y) and one up from it towards z.
func Direction(along, up unit.Angle) Vector {
	sa, ca := math.Sincos(along.Rad())
	su, cu := math.Sincos(up.Rad())
	return Vector{ca * cu, sa * cu, su}
}

// Spherical is the inverse of Direction for a vector of any length: along from 0 to
// below a full turn, 0 at the poles.
func (a Vector) Spherical() (along, up unit.Angle) {
	angle := math.Atan2(a.Y, a.X)
	if angle < 0 {
		if angle += 2 * math.Pi; angle >= 2*math.Pi {
			angle = 0
		}
	}
	return unit.Angle(angle), unit.Angle(math.Atan2(a.Z, math.Sqrt(a.X*a.X+a.Y*a.Y)))
}

// Angle returns the angle between two vectors, from 0 to half a turn, exact for small ones.
func Angle(a, b Vector) unit.Angle {
	return unit.Angle(math.Atan2(a.Cross(b).Length(), a.Dot(b)))
}

// Matrix is a rotation. Its rows are the axes of the new frame in the old one.
type Matrix struct{ X, Y, Z Vector }

// Of turns a vector into the new frame.
func (m *Matrix) Of(a Vector) Vector { return Vector{m.X.Dot(a), m.Y.Dot(a), m.Z.Dot(a)} }

// Back turns a vector into the old frame: the inverse of Of.
func (m *Matrix) Back(a Vector) Vector {
	return m.X.Times(a.X).Plus(m.Y.Times(a.Y)).Plus(m.Z.Times(a.Z))
}
