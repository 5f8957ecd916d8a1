package pointing

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// Excursion is where the beam is beside the place that the trim gives it, while
// the target is followed all the same. Its zero is nowhere beside. Whatever ends
// following the target ends the Excursion too.
type Excursion struct {
	// Sideways is the true angle to the side at the same elevation, + clockwise.
	Sideways unit.Angle
	// From and To are true angles on the sky: the beam is at From until Begin and at
	// To from End on, and in between on the line between them at an even rate.
	From, To   mount.Offset
	Begin, End time.Time
}

// Sweeps reports whether the beam is on its way at a moment, or will be.
func (e *Excursion) Sweeps(at time.Time) bool { return e.From != e.To && at.Before(e.End) }

// HeldAt is the Excursion to a place beside the target.
func HeldAt(o mount.Offset) Excursion { return Excursion{From: o, To: o} }

// OffsetAt is the way from the target to the beam at a moment, without the trim, for a
// target that stands at d.
func (e *Excursion) OffsetAt(at time.Time, d mount.SkyDirection) mount.Offset {
	if e.Sideways != 0 {
		return Sideways(d, e.Sideways)
	}
	switch {
	case e.From == e.To || !at.After(e.Begin):
		return e.From
	case !at.Before(e.End):
		return e.To
	}
	part := float64(at.Sub(e.Begin)) / float64(e.End.Sub(e.Begin))
	return mount.Offset{
		Cross: e.From.Cross + (e.To.Cross - e.From.Cross).Mul(part),
		El:    e.From.El + (e.To.El - e.From.El).Mul(part),
	}
}

// Sideways is the way to the place at the same elevation that lies a true angle
// away, + clockwise; as far as the elevation allows.
func Sideways(d mount.SkyDirection, by unit.Angle) mount.Offset {
	half := math.Sin(math.Abs(by.Rad())/2) / max(1e-9, d.El.Cos())
	turn := 2 * math.Asin(min(1, half))
	return d.OffsetTo(mount.SkyDirection{Az: d.Az + unit.Angle(math.Copysign(turn, by.Rad())), El: d.El})
}

// Within says why an Excursion to a place beside the target can't be made now; empty where it can.
func (b *Beam) Within(o mount.Offset) message.Message {
	c := b.Config
	d, _, ok := b.Config.Place(b.Target, b.At)
	if !ok {
		return message.Of("pointing.no-target")
	}
	near, exact := b.Route.azimuthNear(b.At)
	if exact {
		return message.Of("pointing.zenith")
	}
	chain := b.Chain
	chain.Trim = chain.Trim.Plus(o)
	axes := chain.Axes(d)
	axes.Az = station.Nearest(axes.Az, near)
	switch {
	case c.Drive.Axes[mount.Azimuth].Fitted && !c.Drive.Axes[mount.Azimuth].Limits.Inside(axes.Az):
		return message.Of("pointing.azimuth-limit")
	case c.Drive.Axes[mount.Elevation].Fitted && !c.Drive.Axes[mount.Elevation].Limits.Inside(axes.El):
		return message.Of("pointing.elevation-limit")
	case axes.El < c.Over(axes.Az):
		return message.Of("pointing.structure")
	}
	return b.Refused(axes)
}

// sunShy is within how many beamwidths of it the Sun spoils cold sky.
const sunShy = 3

// Colder is the side, left or right, at which the sky is colder and where the
// beam may go; why says what is in the way of both.
func (b *Beam) Colder(by unit.Angle) (side unit.Angle, why message.Message) {
	d, _, ok := b.Config.Place(b.Target, b.At)
	if !ok {
		return 0, message.Of("pointing.no-target")
	}
	sun := b.Config.SunAt(b.At)
	best := math.Inf(1)
	for _, way := range [...]unit.Angle{by, -by} {
		o := Sideways(d, way)
		if blocked := b.Within(o); blocked.Code != "" {
			why = blocked
			continue
		}
		there := d.Shift(o)
		warmth := b.Config.SkyK(there, b.At, b.HalfPower, b.Hz)
		if mount.Apart(there, sun) < b.HalfPower.Mul(sunShy) {
			warmth += 1e6
		}
		if warmth < best {
			best, side = warmth, way
		}
	}
	if side == 0 {
		return 0, why
	}
	return side, message.Message{}
}
