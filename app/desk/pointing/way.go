package pointing

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// Refused says why a bare dish must not go to a place now: because of the Sun there, or
// on every way to it. Empty where it may, and for a dish that doesn't focus sunlight. The
// place is axis angles; NaN leaves an axis where it is.
func (b *Beam) Refused(to mount.AxisAngles) message.Message {
	_, why := b.WayRound(to)
	return why
}

// WayRound is by which places a bare dish must go so as to keep from the Sun on
// its way: none where the straight way is free. Why says that no way is.
func (b *Beam) WayRound(to mount.AxisAngles) (by []mount.AxisAngles, why message.Message) {
	keep := b.Config.Drive.Guard.SunAway
	if keep <= 0 {
		return nil, message.Message{}
	}
	sky := b.Config.SunAt(b.At)
	if sky.El < -keep {
		return nil, message.Message{}
	}
	sun := b.Chain.Axes(sky)
	from := b.Axes
	if math.IsNaN(to.Az.Rad()) {
		to.Az = from.Az
	}
	if math.IsNaN(to.El.Rad()) {
		to.El = from.El
	}
	if off := mount.Apart(to, sun); off < keep {
		return nil, message.Of("pointing.sun-there", off)
	}
	// A dish that stands near the Sun may leave it.
	leave := min(keep, mount.Apart(from, sun)-degrees(0.1))
	minimum := b.ClosestToSun(from, to, sun)
	if minimum >= leave {
		return nil, message.Message{}
	}
	shortest := math.Inf(1)
	for _, way := range b.waysRound(from, to, sun, keep) {
		seconds, at, bound := 0.0, from, leave
		for _, next := range append(way, to) {
			if b.ClosestToSun(at, next, sun) < bound {
				seconds = math.Inf(1)
				break
			}
			az, el := b.secondsOnWay(at, next)
			seconds += max(az, el) + 5 // each leg begins and ends at rest
			at, bound = next, keep
		}
		if seconds < shortest {
			by, shortest = way, seconds
		}
	}
	if by == nil {
		return nil, message.Of("pointing.sun-on-route", minimum)
	}
	return by, message.Message{}
}

// waysRound are ways worth trying: by one place beside, above or below the Sun,
// along an elevation or along an azimuth that keeps from it.
func (b *Beam) waysRound(from, to, sun mount.AxisAngles, keep unit.Angle) (ways [][]mount.AxisAngles) {
	clear := keep + degrees(2) // it moves by a quarter of a degree a minute, and the axes arrive to half a degree
	azimuths, elevations := []unit.Angle{from.Az, to.Az}, []unit.Angle{from.El, to.El, sun.El + clear, sun.El - clear}
	for turns := -2; turns <= 2; turns++ {
		for _, wide := range [...]float64{-5, -2.5, -1.2, 1.2, 2.5, 5} {
			azimuths = append(azimuths, sun.Az.Mod1()+unit.Angle(2*math.Pi*float64(turns))+clear.Mul(wide))
		}
	}
	add := func(way ...mount.AxisAngles) {
		for _, d := range way {
			if !b.Config.Allowed(d) {
				return
			}
		}
		ways = append(ways, way)
	}
	for _, az := range azimuths {
		for _, el := range elevations {
			add(mount.AxisAngles{Az: az, El: el})
		}
		add(mount.AxisAngles{Az: az, El: from.El}, mount.AxisAngles{Az: az, El: to.El})
	}
	for _, el := range elevations {
		add(mount.AxisAngles{Az: from.Az, El: el}, mount.AxisAngles{Az: to.Az, El: el})
	}
	return ways
}

// secondsOnWay is how long each axis takes at its top speed.
func (b *Beam) secondsOnWay(from, to mount.AxisAngles) (az, el float64) {
	seconds := func(axis int, start, end unit.Angle) float64 {
		return math.Abs((end - start).Rad()) / max(1e-6, b.Config.Drive.Axes[axis].Drive.TopSpeed.Rad())
	}
	return seconds(mount.Azimuth, from.Az, to.Az), seconds(mount.Elevation, from.El, to.El)
}

// ClosestToSun is how near to the Sun the beam comes between two places, both
// axes at their top speed, each until it is there; where a structure is on the
// way elevation rises above it first.
func (b *Beam) ClosestToSun(from, to, sun mount.AxisAngles) unit.Angle {
	if over, ok := b.Config.Drive.Structures.MinBetween(from.Az, to.Az); ok && from.El < over && to.Az != from.Az {
		up := mount.AxisAngles{Az: from.Az, El: over}
		return min(
			b.ClosestToSun(from, up, sun),
			b.ClosestToSun(up, mount.AxisAngles{Az: to.Az, El: max(to.El, over)}, sun),
			b.ClosestToSun(mount.AxisAngles{Az: to.Az, El: max(to.El, over)}, to, sun),
		)
	}
	az, el := b.secondsOnWay(from, to)
	lasts := max(az, el)
	minimum := mount.Apart(from, sun)
	if !(lasts > 0) {
		return minimum
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
		minimum = min(
			minimum,
			mount.Apart(mount.AxisAngles{Az: part(from.Az, to.Az, at, az), El: part(from.El, to.El, at, el)}, sun),
		)
	}
	return minimum
}
