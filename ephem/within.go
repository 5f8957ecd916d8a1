package ephem

import (
	"math"

	"github.com/soniakeys/unit"
)

// Within are standard uncertainties of a place, airless.
type Within struct {
	Angle      unit.Angle
	DistanceKm float64 // of the Moon and the Sun; it means nothing for sources
}

// What a place's accuracy comes from.
const (
	// SiteKm is how well a station's own place is taken to be known: three decimals of a degree.
	SiteKm = 0.1
	// turnS: UT1 is taken as UTC, from which it stayed within 0.2 s since 2017 (IERS bulletin B).
	// TurnKm is that at the equator.
	turnS  = 0.2
	TurnKm = turnS * 0.465
	// SeriesKm is the truncated series' distance, seriesArcsec its place.
	SeriesKm, seriesArcsec = 12.0, 14.0
	// arcsecPerS is by how much the sky turns in a second of time.
	arcsecPerS = 15.0
)

// Within returns how well a look is known.
func (l Look) Within() Within {
	arcsec, km := turnS*arcsecPerS, math.Hypot(SiteKm, TurnKm)
	if l.Origin == FromSeries {
		arcsec, km = math.Hypot(arcsec, seriesArcsec), math.Hypot(km, SeriesKm)
	}
	if l.Dubious {
		arcsec = math.Hypot(arcsec, arcsecPerS)
	}
	return Within{unit.AngleFromSec(arcsec), km}
}
