package ephem

import (
	"math"

	"beamhelm/ephem/space"

	"github.com/soniakeys/meeus/v3/moonposition"
	meeus "github.com/soniakeys/meeus/v3/nutation"
	"github.com/soniakeys/meeus/v3/solar"
	"github.com/soniakeys/unit"
)

const (
	astronomicalUnitKm = 149597870.7
	julianJ2000        = 2451545.0
	// seriesHalfStep in seconds, between the places that give a velocity.
	seriesHalfStep = 300
)

// seriesHeavens is heavens from truncated series, for instants without a pack.
func seriesHeavens(at moment) heavens {
	longitude, obliquity := meeus.Nutation(julianJ2000 + at.tt)
	h := heavens{origin: FromSeries}
	h.frame = frameAt(at, nutation{longitude.Rad(), obliquity.Rad()})
	h.moon, h.sun = seriesPlaces(at.tt)
	const step = seriesHalfStep / float64(daySeconds)
	moonBefore, sunBefore := seriesPlaces(at.tt - step)
	moonAfter, sunAfter := seriesPlaces(at.tt + step)
	h.moonRate = moonAfter.Minus(moonBefore).Times(1 / (2.0 * seriesHalfStep))
	h.sunRate = sunAfter.Minus(sunBefore).Times(1 / (2.0 * seriesHalfStep))
	return h
}

// seriesPlaces returns the geometric Moon and Sun from the Earth's centre, ICRF, km.
func seriesPlaces(tt float64) (moon, sun space.Vector) {
	gamma, phi, psi, obliquity := precessionAngles(tt / century)
	equator := equatorOf(gamma, phi, psi, obliquity)
	along, up, distance := moonposition.Position(julianJ2000 + tt)
	// The series holds the constant part of the light time, 0.70″
	// (Meeus, Astronomical Algorithms, chapter 47).
	ecliptic := space.Direction(along+0.70*arcsecond, up).Times(distance)
	moon = equator.Back(toEquator(ecliptic, obliquity))
	sun = equator.Back(toEquator(seriesSun(tt/century), obliquity))
	return moon, sun.Plus(moon.Times(1 / (1 + emrat)))
}

// seriesSun returns the geometric Sun from the barycentre of Earth and Moon,
// mean ecliptic and equinox of date, km: the ellipse of Meeus, Astronomical
// Algorithms, chapter 25, with the largest pulls of Venus and Jupiter and
// the slow one of Venus (Meeus, Astronomical Formulae for Calculators, chapter 18:
// from memory; with them the error against the places of testdata falls
// from 0.0079 to 0.0033 degree).
func seriesSun(t float64) space.Vector {
	longitude, _ := solar.True(t)
	distance := solar.Radius(t)
	from1900 := t + 1 + 0.5/century // centuries from 1900 January 0.5
	angle := func(at0, rate float64) (sin, cos float64) { return math.Sincos((at0 + rate*from1900) * degree) }
	sa, ca := angle(153.23, 22518.7541)
	sb, cb := angle(216.57, 45037.5082)
	sc, cc := angle(312.69, 32964.3577)
	se, _ := angle(231.19, 20.20)
	sh, _ := angle(353.40, 65928.7155)
	along := longitude.Deg() + 0.00134*ca + 0.00154*cb + 0.00200*cc + 0.00178*se
	distance += 0.00000543*sa + 0.00001575*sb + 0.00001627*sc + 0.00000927*sh
	return space.Direction(unit.AngleFromDeg(along), 0).Times(distance * astronomicalUnitKm)
}

func toEquator(ecliptic space.Vector, obliquity float64) space.Vector {
	s, c := math.Sincos(obliquity)
	return space.Vector{X: ecliptic.X, Y: ecliptic.Y*c - ecliptic.Z*s, Z: ecliptic.Y*s + ecliptic.Z*c}
}
