package ephem

import (
	"math"

	"beamhelm/ephem/pack"

	"github.com/soniakeys/unit"
)

// vector is a place or velocity in some rectangular frame. It is a struct, not an
// array, because the compiler keeps only structs in registers.
type vector struct{ x, y, z float64 }

func vectorOf(v pack.Value) vector { return vector{v.X, v.Y, v.Z} }

func (a vector) plus(b vector) vector   { return vector{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vector) minus(b vector) vector  { return vector{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vector) times(k float64) vector { return vector{a.x * k, a.y * k, a.z * k} }
func (a vector) dot(b vector) float64   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vector) length() float64        { return math.Sqrt(a.dot(a)) }
func (a vector) cross(b vector) vector {
	return vector{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x}
}

// direction returns the unit vector of longitude-like and latitude-like angles.
func direction(along, up unit.Angle) vector {
	sa, ca := math.Sincos(along.Rad())
	su, cu := math.Sincos(up.Rad())
	return vector{ca * cu, sa * cu, su}
}

// spherical is the inverse of direction for a vector of any length: along from
// 0 to a full turn, 0 at the poles.
func (a vector) spherical() (along, up unit.Angle) {
	angle := math.Atan2(a.y, a.x)
	if angle < 0 {
		if angle += turn; angle >= turn {
			angle = 0
		}
	}
	return unit.Angle(angle), unit.Angle(math.Atan2(a.z, math.Sqrt(a.x*a.x+a.y*a.y)))
}

func angleBetween(a, b vector) unit.Angle {
	return unit.Angle(math.Atan2(a.cross(b).length(), a.dot(b)))
}

// matrix is a rotation; its rows are the axes of the new frame in the old one.
type matrix struct{ x, y, z vector }

// of turns a vector into the new frame, back into the old one.
func (m *matrix) of(a vector) vector { return vector{m.x.dot(a), m.y.dot(a), m.z.dot(a)} }

func (m *matrix) back(a vector) vector {
	return m.x.times(a.x).plus(m.y.times(a.y)).plus(m.z.times(a.z))
}
