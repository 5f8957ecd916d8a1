package desk

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// sunWay says why a bare dish must not go to a place now: because of the Sun there or
// on the way. Empty where it may, and for a dish that doesn't focus sunlight. The place
// is axis angles; NaN leaves an axis where it is.
func (t *turn) sunWay(to mount.Direction) string {
	keep := t.c.Drive.Guard.SunAway
	if keep <= 0 {
		return ""
	}
	sky, _, _ := t.c.place(BodyChoice{Kind: Sun}, t.in.At)
	if sky.El < -keep {
		return ""
	}
	sun := t.s.chain(t.c).Axes(sky)
	from := mount.Direction{Az: t.in.Loop.Axes[mount.Azimuth].Is, El: t.in.Loop.Axes[mount.Elevation].Is}
	if math.IsNaN(to.Az.Rad()) {
		to.Az = from.Az
	}
	if math.IsNaN(to.El.Rad()) {
		to.El = from.El
	}
	if off := apart(to, sun); off < keep {
		return fmt.Sprintf("the Sun is %.1f° from there, and a bare dish focuses it", off.Deg())
	}
	least := t.leastOnWay(from, to, sun)
	// A dish that stands near the Sun may leave it.
	if least < keep && least < apart(from, sun)-degrees(0.1) {
		return fmt.Sprintf("the way passes the Sun at %.1f°, and a bare dish focuses it: go round by another place", least.Deg())
	}
	return ""
}

// leastOnWay is how near to the Sun the beam comes between two places, both
// axes at their top speed, each until it is there.
func (t *turn) leastOnWay(from, to, sun mount.Direction) unit.Angle {
	seconds := func(axis int, a, b unit.Angle) float64 {
		return math.Abs((b - a).Rad()) / max(1e-6, t.c.Drive.Axes[axis].Drive.TopSpeed.Rad())
	}
	az, el := seconds(mount.Azimuth, from.Az, to.Az), seconds(mount.Elevation, from.El, to.El)
	lasts := max(az, el)
	least := apart(from, sun)
	if !(lasts > 0) {
		return least
	}
	part := func(a, b unit.Angle, at, whole float64) unit.Angle {
		if whole <= 0 {
			return b
		}
		return a + (b - a).Mul(min(1, at/whole))
	}
	const steps = 500
	for i := range steps + 1 {
		at := lasts * float64(i) / steps
		least = min(least, apart(mount.Direction{Az: part(from.Az, to.Az, at, az), El: part(from.El, to.El, at, el)}, sun))
	}
	return least
}
