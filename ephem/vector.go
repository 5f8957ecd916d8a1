package ephem

import (
	"math"

	"github.com/soniakeys/unit"
)

// vector is a place or velocity in some rectangular frame.
type vector [3]float64

func (a vector) plus(b vector) vector   { return vector{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vector) minus(b vector) vector  { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vector) times(k float64) vector { return vector{a[0] * k, a[1] * k, a[2] * k} }
func (a vector) dot(b vector) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vector) length() float64        { return math.Sqrt(a.dot(a)) }
func (a vector) cross(b vector) vector {
	return vector{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
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
	x := math.Atan2(a[1], a[0])
	if x < 0 {
		if x += 2 * math.Pi; x >= 2*math.Pi {
			x = 0
		}
	}
	return unit.Angle(x), unit.Angle(math.Atan2(a[2], math.Hypot(a[0], a[1])))
}

func angleBetween(a, b vector) unit.Angle {
	return unit.Angle(math.Atan2(a.cross(b).length(), a.dot(b)))
}

// matrix is a rotation; its rows are the axes of the new frame in the old one.
type matrix [3]vector

// of turns a vector into the new frame, back into the old one.
func (m *matrix) of(a vector) vector {
	return vector{m[0].dot(a), m[1].dot(a), m[2].dot(a)}
}

func (m *matrix) back(a vector) vector {
	return vector{
		m[0][0]*a[0] + m[1][0]*a[1] + m[2][0]*a[2],
		m[0][1]*a[0] + m[1][1]*a[1] + m[2][1]*a[2],
		m[0][2]*a[0] + m[1][2]*a[1] + m[2][2]*a[2],
	}
}
