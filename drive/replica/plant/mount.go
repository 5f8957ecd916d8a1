package plant

import (
	"math"

	"github.com/soniakeys/unit"
)

// Mount is how the axes really stand: what a survey of the sky can find. Each
// term is what must be added to a true direction, to first order, to get the
// axis angles that point there:
//
//	azimuth:   EncoderAzimuth + LeanNorth sinA tanE - LeanEast cosA tanE + Squareness tanE
//	           + Collimation / cosE + EccentricSin sinA + EccentricCos cosA
//	elevation: EncoderElevation + LeanNorth cosA + LeanEast sinA + Sag cosE + SagSin sinE
//
// These are the terms of mounts with an azimuth and an elevation axis as
// published for millimetre telescopes (pointing manual of the Plateau de Bure
// interferometer; slides on the pointing of the ALMA prototypes, 2006), with the
// sign of a correction. The dish itself is computed by rotations, not by these sums.
type Mount struct {
	// Zeros of the two encoders.
	EncoderAzimuth, EncoderElevation unit.Angle
	// Lean of the azimuth axis towards north and east.
	LeanNorth, LeanEast unit.Angle
	// Squareness by which the axes miss the right angle.
	Squareness unit.Angle
	// Collimation is how far the beam looks to the left of square to the
	// elevation axis, towards smaller azimuth.
	Collimation unit.Angle
	// Sag of the structure at the horizon, and SagSin at the zenith.
	Sag, SagSin unit.Angle
	// EccentricSin and EccentricCos of the azimuth encoder.
	EccentricSin, EccentricCos unit.Angle
}

func (m *Mount) validate() error {
	checks := []check{
		{"azimuth encoder zero", m.EncoderAzimuth.Deg(), -180, 180, " degrees"},
		{"elevation encoder zero", m.EncoderElevation.Deg(), -45, 45, " degrees"},
	}
	for _, term := range [...]struct {
		name  string
		angle unit.Angle
	}{
		{"lean to north", m.LeanNorth}, {"lean to east", m.LeanEast}, {"squareness", m.Squareness},
		{"collimation", m.Collimation},
		{"sag", m.Sag}, {"second sag", m.SagSin}, {"eccentricity", m.EccentricSin},
		{"second eccentricity", m.EccentricCos},
	} {
		checks = append(checks, check{term.name, term.angle.Deg(), -10, 10, " degrees"})
	}
	return examine(checks)
}

// vector is a direction: north, east and up.
type vector struct{ north, east, up float64 }

func direction(azimuth, elevation float64) vector {
	sinAz, cosAz := math.Sincos(azimuth)
	sinEl, cosEl := math.Sincos(elevation)
	return vector{cosEl * cosAz, cosEl * sinAz, sinEl}
}

// place is azimuth (0 to a turn) and elevation of a direction.
func (v vector) place() (azimuth, elevation float64) {
	azimuth = math.Atan2(v.east, v.north)
	if azimuth < 0 {
		azimuth += 2 * math.Pi
	}
	return azimuth, math.Atan2(v.up, math.Hypot(v.north, v.east))
}

// apart is the angle between two directions, exact for small ones too.
func (v vector) apart(w vector) float64 {
	return 2 * math.Asin(min(1, math.Sqrt(square(v.north-w.north)+square(v.east-w.east)+square(v.up-w.up))/2))
}

// aim is where the boresight looks at these axis angles, by rotations.
// crossElevation and elevation are what is added in the dish itself, true
// angles to the right and upwards: the squint of a feed, the bending in the wind.
func (m *Mount) aim(azimuth, elevation, crossElevation, upwards float64) vector {
	// Eccentricity belongs to the true azimuth, which differs from the
	// encoder's by little more than its zero.
	turned := azimuth - m.EncoderAzimuth.Rad()
	sinA, cosA := math.Sincos(turned)
	turned -= m.EccentricSin.Rad()*sinA + m.EccentricCos.Rad()*cosA
	raised := elevation - m.EncoderElevation.Rad()
	sinE, cosE := math.Sincos(raised)
	raised -= m.Sag.Rad()*cosE + m.SagSin.Rad()*sinE

	// Beam in the dish: forwards, to the right, up.
	sinC, cosC := math.Sincos(crossElevation - m.Collimation.Rad())
	sinE, cosE = math.Sincos(raised + upwards)
	forward, right, up := cosC*cosE, sinC, cosC*sinE
	// The elevation axis is not square to the azimuth axis: the fork rolls.
	sinQ, cosQ := math.Sincos(m.Squareness.Rad())
	right, up = right*cosQ-up*sinQ, up*cosQ+right*sinQ
	sinA, cosA = math.Sincos(turned)
	v := vector{forward*cosA - right*sinA, forward*sinA + right*cosA, up}
	return m.lean(v)
}

// lean tips a direction with the azimuth axis: by the shortest rotation that
// takes the zenith to the axis.
func (m *Mount) lean(v vector) vector {
	north, east := m.LeanNorth.Rad(), m.LeanEast.Rad()
	angle := math.Hypot(north, east)
	if angle == 0 {
		return v
	}
	north, east = north/angle, east/angle
	sin, cos := math.Sincos(angle)
	along := v.north*north + v.east*east
	tipped := along*cos + v.up*sin
	return vector{v.north + (tipped-along)*north, v.east + (tipped-along)*east, v.up*cos - along*sin}
}

// Sky is the direction in the sky, refraction included, of the boresight at
// these axis angles: azimuth 0 to a turn.
func (m Mount) Sky(azimuth, elevation unit.Angle) (skyAzimuth, skyElevation unit.Angle) {
	a, e := m.aim(azimuth.Rad(), elevation.Rad(), 0, 0).place()
	return unit.Angle(a), unit.Angle(e)
}
