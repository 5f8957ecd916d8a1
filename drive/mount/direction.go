package mount

import (
	"math"

	"github.com/soniakeys/unit"
)

// SkyDirection is where in the sky something is seen, or where the beam looks: topocentric azimuth (north 0, east +90)
// and elevation, with refraction. Azimuth may be folded to a circle or not.
type SkyDirection struct{ Az, El unit.Angle }

// Boresight is the true direction in which the mount points. The beam points beside it, by trim and squint; the mount
// model starts from here. Azimuth and elevation as for a SkyDirection.
type Boresight struct{ Az, El unit.Angle }

// AxisAngles are what the encoders read: azimuth and elevation of the axes with the errors of the mount in them.
// Azimuth runs over the cable wrap and is not folded to a circle.
type AxisAngles struct{ Az, El unit.Angle }

// frame is one of the three. They can't be mixed: only a Chain, or the offset and the model in it, leads from one to
// another.
type frame interface {
	SkyDirection | Boresight | AxisAngles
}

type azEl = struct{ Az, El unit.Angle }

// Apart is the true angle between two places in one frame, as they would lie in the sky, 0 to half a turn.
func Apart[F frame](from, to F) unit.Angle {
	a, b := azEl(from), azEl(to)
	return Between(a.Az, a.El, b.Az, b.El)
}

// Shift returns d moved by the offset. Azimuth keeps its turn: it changes by less than half one.
func (d SkyDirection) Shift(o Offset) SkyDirection { return SkyDirection(shifted(azEl(d), o)) }

// Shift returns a moved by an offset in the sky, as if the mount were perfect. Azimuth keeps its turn.
func (a AxisAngles) Shift(o Offset) AxisAngles { return AxisAngles(shifted(azEl(a), o)) }

// Boresight returns where the mount must point for the beam to point at d: beside d by the offset.
func (d SkyDirection) Boresight(o Offset) Boresight { return Boresight(shifted(azEl(d), o)) }

// Sky returns the direction whose Boresight with the same offset is b: the inverse of SkyDirection.Boresight.
func (b Boresight) Sky(o Offset) SkyDirection {
	// With w for the direction sought: sin b.El = cos c sin(w.El+e), and the
	// azimuths differ by atan2(sin c, cos c cos(w.El+e)).
	sinC, cosC := o.Cross.Sincos()
	s := b.El.Sin() / cosC
	turned := math.Asin(max(-1, min(1, s))) // elevation of w plus o.El
	el := turned - o.El.Rad()
	az := b.Az - unit.Angle(math.Atan2(sinC, cosC*math.Cos(turned)))
	return SkyDirection{az, unit.Angle(el)}
}

// OffsetTo returns the offset that shifts d to other: the inverse of Shift,
// for offsets below a quarter turn.
func (d SkyDirection) OffsetTo(other SkyDirection) Offset {
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

// shifted moves d by an offset. In the frame of d (x towards d, y clockwise along the
// horizon, z up) the place moved to is (cos c cos e, sin c, cos c sin e).
func shifted(d azEl, o Offset) azEl {
	sinC, cosC := o.Cross.Sincos()
	sinO, cosO := o.El.Sincos()
	x, y, z := cosC*cosO, sinC, cosC*sinO
	sinE, cosE := d.El.Sincos()
	outward := x*cosE - z*sinE // horizontal part towards d's azimuth
	up := x*sinE + z*cosE
	return azEl{
		Az: d.Az + unit.Angle(math.Atan2(y, outward)),
		El: unit.Angle(math.Atan2(up, math.Hypot(outward, y))),
	}
}
