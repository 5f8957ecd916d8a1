// Package mount knows the dish's two axes as geometry: encoder counts and
// axis angles, limits and the cable wrap, structures to stay above, the fitted
// errors of the mount, and the small rotations between the sky and the axes.
// Everything in it is a pure function of its arguments.
//
// Angles are unit.Angle, radians. Azimuth is measured from north through east
// and, for an axis, runs over the cable wrap without being folded to a circle.
package mount

// Azimuth and Elevation index everything that is kept once for each axis.
const (
	Azimuth   = 0
	Elevation = 1
)

// AxisName is the name of an axis as the screen writes it.
func AxisName(axis int) string {
	switch axis {
	case Azimuth:
		return "azimuth"
	case Elevation:
		return "elevation"
	}
	return "no axis"
}
