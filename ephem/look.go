package ephem

import (
	"math"
	"time"

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
	moon, moonRate vector
	sun, sunRate   vector // sunRate is minus the Earth's velocity about the Sun
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
	n, _ := s.pack.Nutation.At(days)
	h.moon, h.moonRate = vectorOf(moon), vectorOf(moonRate)
	// From the barycentre of Earth and Moon to the Earth's centre.
	h.sun = vectorOf(sun).plus(h.moon.times(1 / (1 + emrat)))
	h.sunRate = vectorOf(sunRate).plus(h.moonRate.times(1 / (1 + emrat)))
	h.frame = frameAt(at, nutation{n.X, n.Y})
	h.origin = FromPack
	return h
}

// vantage is a site at an instant: from the Earth's centre, true equator and
// equinox of date, km and km/s, with its own axes.
type vantage struct {
	place, velocity vector
	east, north, up vector
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
		place:    vector{ring * c, ring * s, (n*(1-earthFlatnessE) + height) * sinLat},
		velocity: vector{-ring * s * earthSpin, ring * c * earthSpin, 0},
		east:     vector{-s, c, 0},
		north:    vector{-sinLat * c, -sinLat * s, cosLat},
		up:       vector{cosLat * c, cosLat * s, sinLat},
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
	velocity := v.velocity.minus(h.fromICRF.of(h.sunRate))
	var seen vector
	switch body.Kind {
	case FixedStar:
		seen = h.fromICRF.of(h.deflected(direction(body.RA, body.Dec)))
	default:
		target, rate, radius := h.moon, h.moonRate, moonRadiusKm
		if body.Kind == Sun {
			target, rate, radius = h.sun, h.sunRate, sunRadiusKm
		}
		place := h.fromICRF.of(target).minus(v.place)
		rate = h.fromICRF.of(rate).minus(v.velocity)
		look.DistanceKm = place.length()
		look.RangeRateMps = place.dot(rate) / look.DistanceKm * 1000
		look.Diameter = unit.Angle(2 * math.Asin(min(1, radius/look.DistanceKm)))
		// Where it was when its light left: its own motion about the Sun is
		// the relative one plus the observer's.
		seen = place.minus(rate.plus(velocity).times(look.DistanceKm / lightKmS))
		seen = seen.times(1 / seen.length())
	}
	seen = aberrated(seen, velocity.times(1/lightKmS))
	look.RA, look.Dec = seen.spherical()
	look.Az, look.El = vector{v.north.dot(seen), v.east.dot(seen), v.up.dot(seen)}.spherical()
	return look
}

// aberrated turns a unit vector as a moving observer sees it; velocity in units
// of that of light. Special relativity (Explanatory Supplement 1992, 3.252-3).
func aberrated(seen, velocity vector) vector {
	lorentz := math.Sqrt(1 - velocity.dot(velocity))
	along := seen.dot(velocity)
	return seen.times(lorentz).plus(velocity.times(1 + along/(1+lorentz))).times(1 / (1 + along))
}

// deflected bends the light of a star by the Sun's mass: 1.75″ at its limb,
// 0.004″ at a right angle, fading to none within the disc (IERS Conventions 2010, 7.63; the
// observer taken at the Earth's centre).
func (h *heavens) deflected(star vector) vector {
	distance := h.sun.length()
	fromSun := h.sun.times(-1 / distance)
	spread := max(1+star.dot(fromSun), 1e-5) // 1e-5: 0.26 degree from the Sun's centre
	bend := fromSun.minus(star.times(star.dot(fromSun))).times(sunSchwarzschildKm / distance / spread)
	bent := star.plus(bend)
	return bent.times(1 / bent.length())
}
