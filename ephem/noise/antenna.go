package noise

import (
	"math"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

// Scene is what surrounds an antenna at an instant. Directions are unit vectors at the site: x north,
// y east, z up.
type Scene struct {
	Sky *Sky // nil: an even cold sky
	// Axes turns ICRF directions to those of the site.
	Axes space.Matrix
	// Horizon is the elevation below which there is ground, by azimuth; nil: 0 all around.
	Horizon func(az unit.Angle) (el unit.Angle)
	// Moon is a disc of some radius and temperature, which hides what is behind it; of no radius: none.
	Moon    Disc
	MoonK   float64
	Sun     Disc
	SunFlux float64 // W m⁻² Hz⁻¹, outside the air
	// Sources are points.
	Sources []Source
}

// Disc is a round body.
type Disc struct {
	Towards space.Vector
	Radius  unit.Angle
}

// Source is a point that radiates.
type Source struct {
	Towards space.Vector
	Flux    float64 // W m⁻² Hz⁻¹, outside the air
}

// Parts is where the noise of an antenna comes from, kelvin at its port.
type Parts struct {
	// SkyK is the Galaxy, the background and the sources, MoonK the Moon's own.
	SkyK, MoonK, SunK, AirK, GroundK float64
	// BehindK is the sky's own temperature where the axis points, as the main lobe sees it
	// without air; it is none of the parts.
	BehindK float64
}

// TotalK is the antenna's temperature.
func (p Parts) TotalK() float64 { return p.SkyK + p.MoonK + p.SunK + p.AirK + p.GroundK }

// coldestK is a cold place of the sky at 408 MHz near the ecliptic.
const coldestK = 14

// Fineness is how closely the sphere is sampled.
type Fineness uint8

const (
	// Fine is within the tolerances of the published checks, and takes some milliseconds.
	Fine Fineness = iota
	// Coarse is for charts of many instants: within a few per cent, a tenth of a millisecond.
	Coarse
)

// grid is the number of rings and bearings in the main lobe, the ratio and bearings of the rings beyond
// it, the samples of a disc, and rings of the sky's mean.
type grid struct {
	lobeRings, lobeBearings int
	ratio                   float64
	sideBearings            int
	discRings, discBearings int
	skyRings                int
	skyRing                 float64
}

func (f Fineness) grid() grid {
	if f == Fine {
		return grid{32, 96, 1.07, 240, 80, 48, 24, skyRing}
	}
	return grid{8, 24, 1.25, 32, 8, 16, 6, math.Inf(1)}
}

// listener is an antenna that looks somewhere.
type listener struct {
	*Pattern
	*Scene
	axis     space.Vector
	u, v     space.Vector
	air      air
	fineness Fineness
	grid     grid
	sky      skyScale
	// highest is the highest point of the horizon, as a sine: above it nothing needs to be looked up.
	highest float64
	parts   Parts
}

// Hear returns the noise of an antenna whose axis points somewhere: rays over the whole sphere, each with
// its own elevation; what is under the horizon is ground of 290 K with no air before it.
func (p *Pattern) Hear(axis space.Vector, s *Scene, fineness Fineness) Parts {
	l := &listener{Pattern: p, Scene: s, axis: axis, air: airAt(p.Hz), fineness: fineness, grid: fineness.grid(),
		sky: skyAt(p.Hz)}
	l.u, l.v = across(axis)
	l.highest = l.highestGround()
	l.parts.BehindK = l.sky.scaled(coldestK)
	if s.Sky != nil {
		l.parts.BehindK = l.sky.scaled(s.Sky.Through(s.Axes.Back(axis), p.HalfPower, fineness))
	}
	l.mainLobe()
	l.sideLobes()
	l.moon()
	l.sun()
	l.sources()
	return l.parts
}

func (l *listener) highestGround() float64 {
	if l.Horizon == nil {
		return 0
	}
	highest := math.Inf(-1)
	for az := range 360 {
		highest = max(highest, l.Horizon(unit.AngleFromDeg(float64(az))).Rad())
	}
	return math.Sin(min(highest+degree, math.Pi/2)) // a point between two degrees may stand higher
}

// ground says that a ray ends on the ground.
func (l *listener) ground(ray space.Vector) bool {
	if ray.Z >= l.highest || l.Horizon == nil {
		return ray.Z < 0
	}
	az, el := ray.Spherical()
	return el < l.Horizon(az)
}

// ring goes along the rays of a ring about the axis; each has the same share of its weight.
func (l *listener) ring(t float64, bearings int, weight float64, sky func(ray space.Vector) float64) {
	sin, cos := math.Sincos(t)
	along, each := l.axis.Times(cos), weight/float64(bearings)
	step := 2 * math.Pi / float64(bearings)
	for i := range bearings {
		sb, cb := math.Sincos(float64(i) * step)
		ray := along.Plus(l.u.Times(sin * cb)).Plus(l.v.Times(sin * sb))
		if l.ground(ray) {
			l.parts.GroundK += each * GroundK
			continue
		}
		through := l.air.through(ray.Z)
		l.parts.AirK += each * l.air.meanK * (1 - through)
		l.parts.SkyK += each * through * sky(ray)
	}
}

// mainLobe sees one temperature of the sky, that through the beam.
func (l *listener) mainLobe() {
	h := l.edge / float64(l.grid.lobeRings)
	sum := 0.0
	weight := func(i int) float64 {
		t := (float64(i) + 0.5) * h
		return l.gaussian(t) * 2 * math.Pi * math.Sin(t) * h
	}
	for i := range l.grid.lobeRings {
		sum += weight(i)
	}
	behind := func(space.Vector) float64 { return l.parts.BehindK }
	for i := range l.grid.lobeRings {
		// The rings together weigh what the lobe does.
		l.ring((float64(i)+0.5)*h, l.grid.lobeBearings, weight(i)*l.lobe/sum, behind)
	}
}

func (l *listener) sideLobes() {
	sky := func(ray space.Vector) float64 { return l.sky.scaled(l.Sky.At408(l.Axes.Back(ray))) }
	if l.Sky == nil {
		sky = func(space.Vector) float64 { return l.parts.BehindK }
	}
	for _, r := range l.rings[l.fineness] {
		l.ring(r.t, l.grid.sideBearings, r.weight, sky)
	}
}

// ring is a ring of side lobes about the axis.
type ring struct{ t, weight float64 }

// ringsOf are the rings from the end of the main lobe to the back, each some ratio wider than the one before.
func (p *Pattern) ringsOf(ratio float64) []ring {
	var rings []ring
	edges := [...]float64{p.edge, max(p.edge, p.law.shelf), max(p.edge, farFrom), math.Pi}
	for i := 1; i < len(edges); i++ {
		if edges[i] <= edges[i-1]*(1+1e-9) {
			continue
		}
		n := math.Ceil(math.Log(edges[i]/edges[i-1]) / math.Log(ratio))
		step := math.Pow(edges[i]/edges[i-1], 1/n)
		low := edges[i-1]
		for range int(n) {
			high := low * step
			rings = append(rings, ring{math.Sqrt(low * high), p.scaling * p.law.between(low, high) / 2})
			low = high
		}
	}
	return rings
}

// between is the integral of gain times sine over a ring, within one piece of the law.
func (s *sideLobes) between(low, high float64) float64 {
	const n = 8
	sum, h := 0.0, (high-low)/n
	for i := range n {
		t := low + (float64(i)+0.5)*h
		sum += s.gain(t) * math.Sin(t) * h
	}
	return sum
}

// mean is the mean of the weight over a disc.
func (l *listener) mean(d Disc) float64 {
	if off := space.Angle(l.axis, d.Towards); l.fineness == Coarse && off.Rad() > l.edge+4*d.Radius.Rad() {
		return l.Weight(off) // the side lobes are level over it
	}
	u, v := across(d.Towards)
	sum, area := 0.0, 0.0
	for i := range l.grid.discRings {
		t := (float64(i) + 0.5) / float64(l.grid.discRings) * d.Radius.Rad()
		sin, cos := math.Sincos(t)
		ring := 0.0
		for j := range l.grid.discBearings {
			sb, cb := math.Sincos(2 * math.Pi * float64(j) / float64(l.grid.discBearings))
			ring += l.Weight(space.Angle(l.axis, d.Towards.Times(cos).Plus(u.Times(sin*cb)).Plus(v.Times(sin*sb))))
		}
		sum += ring / float64(l.grid.discBearings) * sin
		area += sin
	}
	return sum / area
}

// moon stands before the sky, wholly, if its centre is above the horizon.
func (l *listener) moon() {
	if l.Moon.Radius <= 0 || l.ground(l.Moon.Towards) {
		return
	}
	share := l.mean(l.Moon) * 2 * math.Pi * (1 - math.Cos(l.Moon.Radius.Rad()))
	through := l.air.through(l.Moon.Towards.Z)
	l.parts.MoonK = share * l.MoonK * through
	l.parts.SkyK -= share * l.parts.BehindK * through
}

func (l *listener) sun() {
	if l.SunFlux <= 0 || l.ground(l.Sun.Towards) {
		return
	}
	l.parts.SunK = l.fluxK(l.SunFlux, l.Sun.Towards) * l.mean(l.Sun)
}

// fluxK is flux times wavelength squared over 2k, below the air.
func (l *listener) fluxK(flux float64, towards space.Vector) float64 {
	lambda := lightMps / l.Hz
	return flux * lambda * lambda / (2 * boltzmann) * l.air.through(towards.Z)
}

func (l *listener) sources() {
	for _, s := range l.Sources {
		if l.ground(s.Towards) || l.Moon.Radius > 0 && space.Angle(s.Towards, l.Moon.Towards) < l.Moon.Radius {
			continue
		}
		l.parts.SkyK += l.fluxK(s.Flux, s.Towards) * l.Weight(space.Angle(l.axis, s.Towards))
	}
}
