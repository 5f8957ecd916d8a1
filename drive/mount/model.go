package mount

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"
)

// Model is the fitted errors of the mount, all angles; its zero is a perfect
// mount. Correction = axis angle needed - true direction (with refraction):
//
//	dAz = AzZero + LeanNorth sin A tan E - LeanEast cos A tan E + AxesSkew tan E +
//	      Collimation / cos E + AzSin sin A + AzCos cos A
//	dEl = ElZero + LeanNorth cos A + LeanEast sin A + Sag cos E + SagSin sin E + Refraction cot E
//
// dAz acts on the azimuth axis: on the sky it is dAz cos E. The terms are first
// order, good to 0.0001 degree for leans of a tenth of a degree below 60 degrees
// of elevation. Near the zenith tan E grows without bound: E is held at 89.9 degrees there.
// Source: the usual terms of pointing models, as in the GILDAS manual of the
// Plateau de Bure interferometer (node 3), with the sign of a correction.
type Model struct {
	AzZero, ElZero      unit.Angle // encoder zeros
	LeanNorth, LeanEast unit.Angle // of the azimuth axis
	AxesSkew            unit.Angle // axes not square
	Collimation         unit.Angle // horizontal; above 0 the beam sits towards smaller azimuth
	Sag, SagSin         unit.Angle // gravity
	AzSin, AzCos        unit.Angle // azimuth encoder off centre
	Refraction          unit.Angle // what refraction is left
}

// Validate names the term that cannot be used.
func (m Model) Validate() error {
	for _, t := range [...]struct {
		name  string
		v     unit.Angle
		limit float64
	}{
		{"azimuth zero", m.AzZero, 180}, {"elevation zero", m.ElZero, 30}, {"lean north", m.LeanNorth, 5},
		{"lean east", m.LeanEast, 5},
		{"axes skew", m.AxesSkew, 5}, {"collimation", m.Collimation, 5}, {"sag", m.Sag, 5}, {"sag, sine", m.SagSin, 5},
		{"azimuth encoder, sine", m.AzSin, 5}, {"azimuth encoder, cosine", m.AzCos, 5},
		{"refraction left", m.Refraction, 1},
	} {
		if !(math.Abs(t.v.Deg()) <= t.limit) {
			return fmt.Errorf("mount model, %s %v degrees: must be %v to %v", t.name, t.v.Deg(), -t.limit, t.limit)
		}
	}
	return nil
}

// steepest is the elevation at which the terms that grow without bound are held.
const steepest = 89.9 * math.Pi / 180

// Correction is what must be added to a true direction to give the axis angles.
func (m Model) Correction(az, el unit.Angle) (dAz, dEl unit.Angle) {
	sinA, cosA := az.Sincos()
	e := max(-steepest, min(steepest, el.Rad()))
	sinE, cosE := math.Sincos(e)
	tanE := sinE / cosE
	dAz = m.AzZero + m.LeanNorth.Mul(sinA*tanE) - m.LeanEast.Mul(cosA*tanE) + m.AxesSkew.Mul(tanE) +
		m.Collimation.Div(cosE) +
		m.AzSin.Mul(sinA) + m.AzCos.Mul(cosA)
	dEl = m.ElZero + m.LeanNorth.Mul(cosA) + m.LeanEast.Mul(sinA) + m.Sag.Mul(cosE) + m.SagSin.Mul(sinE)
	if m.Refraction != 0 {
		// The cotangent is held below half a degree, where no beam looks.
		dEl += m.Refraction.Div(math.Tan(max(0.5*math.Pi/180, e)))
	}
	return dAz, dEl
}

// Apply returns the axis angles at which the mount looks in a true direction. Azimuth keeps its turn.
func (m Model) Apply(d Boresight) AxisAngles {
	dAz, dEl := m.Correction(d.Az, d.El)
	return AxisAngles{d.Az + dAz, d.El + dEl}
}

// Remove is the inverse of Apply: the true direction at which axis angles look,
// to 1e-12 rad where a direction exists.
func (m Model) Remove(axes AxisAngles) Boresight {
	d := Boresight(axes)
	for range 50 {
		dAz, dEl := m.Correction(d.Az, d.El)
		next := Boresight{axes.Az - dAz, axes.El - dEl}
		change := math.Abs((next.Az - d.Az).Rad()) + math.Abs((next.El - d.El).Rad())
		d = next
		if change < 1e-14 {
			break
		}
	}
	return d
}
