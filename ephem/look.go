package ephem

import (
	"math"
	"time"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

const (
	lightKmS = 299792.458
	// Mean lunar radius (LRO, and IAU 2015 recommendation) and the nominal solar
	// radius of IAU 2015 resolution B3.
	moonRadiusKm = 1737.4
	sunRadiusKm  = 695700
	// WGS 84.
	earthRadiusKm  = 6378.137
	earthFlatness  = 1 / 298.257223563
	earthFlatnessE = earthFlatness * (2 - earthFlatness) // eccentricity squared
	// sunSchwarzschildKm is 2GM/c² of the Sun.
	sunSchwarzschildKm = 2.95325
)

// heavens is what no site changes: the Moon and Sun from the Earth's centre,
// geometric, ICRF, km and km/s, and the frame of date.
type heavens struct {
	frame
	moon, moonRate space.Vector
	sun, sunRate   space.Vector // sunRate is minus the Earth's velocity about the Sun
	origin         Origin
}

func (s *Sky) heavens(at moment) heavens {
	if s.pack != nil {
		days := tdb(at.tt)
		if from, to := s.pack.Span(); days >= from && days <= to {
			return s.packHeavens(at, days)
		}
	}
	return seriesHeavens(at)
}

// emrat is the mass of the Earth over that of the Moon in DE405.
const emrat = 81.30056

func (s *Sky) packHeavens(at moment, days float64) heavens {
	var h heavens
	moon, moonRate := s.pack.Moon.At(days)
	sun, sunRate := s.pack.Sun.At(days)
	longitude, obliquity := s.pack.Nutation.Pair(days)
	h.moon, h.moonRate = moon, moonRate
	// From the barycentre of Earth and Moon to the Earth's centre.
	h.sun = sun.Plus(h.moon.Times(1 / (1 + emrat)))
	h.sunRate = sunRate.Plus(h.moonRate.Times(1 / (1 + emrat)))
	h.frame = frameAt(at, nutation{longitude, obliquity})
	h.origin = FromPack
	return h
}

// vantage is a site at an instant: from the Earth's centre, true equator and
// equinox of date, km and km/s, with its own axes.
type vantage struct {
	place, velocity space.Vector
	east, north, up space.Vector
}

func (f *frame) vantage(site Site) vantage {
	sinLat, cosLat := math.Sincos(site.Lat.Rad())
	sinLon, cosLon := math.Sincos(site.Lon.Rad())
	// Local sidereal time, by addition of angles.
	s := f.sinSidereal*cosLon + f.cosSidereal*sinLon
	c := f.cosSidereal*cosLon - f.sinSidereal*sinLon
	n := earthRadiusKm / math.Sqrt(1-earthFlatnessE*sinLat*sinLat)
	height := site.HeightM / 1000
	ring := (n + height) * cosLat
	return vantage{
		place:    space.Vector{X: ring * c, Y: ring * s, Z: (n*(1-earthFlatnessE) + height) * sinLat},
		velocity: space.Vector{X: -ring * s * earthSpin, Y: ring * c * earthSpin, Z: 0},
		east:     space.Vector{X: -s, Y: c, Z: 0},
		north:    space.Vector{X: -sinLat * c, Y: -sinLat * s, Z: cosLat},
		up:       space.Vector{X: cosLat * c, Y: cosLat * s, Z: sinLat},
	}
}

// Look returns where a body is seen from a site at an instant, airless. It
// allocates nothing. At the zenith azimuth, and at the poles right ascension,
// mean nothing.
func (s *Sky) Look(site Site, body Body, at time.Time) Look {
	look := s.lookAt(site, body, s.moment(at))
	look.Dubious = s.dubious(at)
	return look
}

func (s *Sky) lookAt(site Site, body Body, at moment) Look {
	h := s.heavens(at)
	return h.look(site, body)
}

func (h *heavens) look(site Site, body Body) Look {
	return h.lookFrom(h.vantage(site), body)
}

func (h *heavens) lookFrom(v vantage, body Body) Look {
	look := Look{Origin: h.origin}
	// The observer about the Sun, true equator of date.
	velocity := v.velocity.Minus(h.fromICRF.Of(h.sunRate))
	var seen space.Vector
	switch body.Kind {
	case FixedStar:
		seen = h.fromICRF.Of(h.deflected(space.Direction(body.RA, body.Dec)))
	default:
		target, rate, radius := h.moon, h.moonRate, moonRadiusKm
		if body.Kind == Sun {
			target, rate, radius = h.sun, h.sunRate, sunRadiusKm
		}
		place := h.fromICRF.Of(target).Minus(v.place)
		rate = h.fromICRF.Of(rate).Minus(v.velocity)
		look.DistanceKm = place.Length()
		look.RangeRateMps = place.Dot(rate) / look.DistanceKm * 1000
		look.Diameter = unit.Angle(2 * math.Asin(min(1, radius/look.DistanceKm)))
		// Where it was when its light left: its own motion about the Sun is
		// the relative one plus the observer's.
		seen = place.Minus(rate.Plus(velocity).Times(look.DistanceKm / lightKmS))
		seen = seen.Times(1 / seen.Length())
	}
	seen = aberrated(seen, velocity.Times(1/lightKmS))
	look.RA, look.Dec = seen.Spherical()
	look.Az, look.El = space.Vector{X: v.north.Dot(seen), Y: v.east.Dot(seen), Z: v.up.Dot(seen)}.Spherical()
	return look
}

// aberrated turns a unit vector as a moving observer sees it; velocity in units
// of that of light. Special relativity (Explanatory Supplement 1992, 3.252-3).
func aberrated(seen, velocity space.Vector) space.Vector {
	lorentz := math.Sqrt(1 - velocity.Dot(velocity))
	along := seen.Dot(velocity)
	return seen.Times(lorentz).Plus(velocity.Times(1 + along/(1+lorentz))).Times(1 / (1 + along))
}

// deflected bends the light of a star by the Sun's mass: 1.75″ at its limb,
// 0.004″ at a right angle, fading to none within the disc (IERS Conventions 2010, 7.63; the
// observer taken at the Earth's centre).
func (h *heavens) deflected(star space.Vector) space.Vector {
	distance := h.sun.Length()
	fromSun := h.sun.Times(-1 / distance)
	spread := max(1+star.Dot(fromSun), 1e-5) // 1e-5: 0.26 degree from the Sun's centre
	bend := fromSun.Minus(star.Times(star.Dot(fromSun))).Times(sunSchwarzschildKm / distance / spread)
	bent := star.Plus(bend)
	return bent.Times(1 / bent.Length())
}

// MoonAt returns the Moon's geometric place and velocity from the Earth's centre:
// ICRF, km and km/s. Radio paths are made of these and SiteAt.
func (s *Sky) MoonAt(at time.Time) (place, velocity space.Vector) {
	h := s.heavens(s.moment(at))
	return h.moon, h.moonRate
}

// SiteAt returns a site's place and velocity, as MoonAt.
func (s *Sky) SiteAt(site Site, at time.Time) (place, velocity space.Vector) {
	h := s.heavens(s.moment(at))
	v := h.vantage(site)
	return h.fromICRF.Back(v.place), h.fromICRF.Back(v.velocity)
}

// Axes returns the rotation from ICRF to a site's own axes: x north, y east, z up. It leaves
// out what only the seen places have: light time, aberration (0.006 degree) and refraction.
func (s *Sky) Axes(site Site, at time.Time) space.Matrix {
	h := s.heavens(s.moment(at))
	v := h.vantage(site)
	return space.Matrix{X: h.fromICRF.Back(v.north), Y: h.fromICRF.Back(v.east), Z: h.fromICRF.Back(v.up)}
}

// ParallacticAngle returns the position angle of a site's vertical at a body, from
// celestial north through east, geometric: positive when the body is west of the
// meridian. At the zenith it means nothing.
func (s *Sky) ParallacticAngle(site Site, body Body, at time.Time) unit.Angle {
	h := s.heavens(s.moment(at))
	v := h.vantage(site)
	return positionAngle(v.up, direction(&h, v, body))
}

// positionAngle is the angle at one direction from celestial north through east to another.
func positionAngle(of, at space.Vector) unit.Angle {
	at = at.Unit()
	east := space.Vector{X: -at.Y, Y: at.X}
	north := at.Cross(east)
	return unit.Angle(math.Atan2(of.Dot(east), of.Dot(north)))
}

// direction is where a body is, geometric, true equator and equinox of date; no unit vector.
func direction(h *heavens, v vantage, body Body) space.Vector {
	switch body.Kind {
	case FixedStar:
		return h.fromICRF.Of(space.Direction(body.RA, body.Dec))
	case Sun:
		return h.fromICRF.Of(h.sun).Minus(v.place)
	default:
		return h.fromICRF.Of(h.moon).Minus(v.place)
	}
}
