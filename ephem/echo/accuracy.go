package echo

import (
	"math"

	"beamhelm/ephem"
)

// Accuracy are standard uncertainties of a Signal.
type Accuracy struct {
	DistanceKm float64 // of one leg
	DopplerHz  float64
	DelayS     float64 // of the Moon's centre; the echo itself comes over 11.6 ms
	LossDB     float64 // that of the reflectivity: two losses of the same Moon differ by far less
	SpreadHz   float64
}

// What the accuracy comes from.
const (
	// seriesKmS is the rate by the truncated series, outside the ephemeris.
	seriesKmS = 5e-5
	// earthTurn is the Earth's rate of turning, rad/s: an error of place across it is one of rate.
	earthTurn = 7.292e-5
	// reflectivityDB: single measurements of the reflectivity are good to a factor of 2 (Pettengill 1965, DTIC
	// AD0628197).
	reflectivityDB = 3
	// spreadShare: the axes of the Moon used here stand 0.02 degree from the principal ones, and the
	// rate is a difference over 300 s.
	spreadShare = 0.005
)

// AccuracyOf returns how well a signal of some frequency and spread is known. farKm is the
// uncertainty of the other station's place, ephem.SiteKm for the own echo; series says that the
// Moon's place is by the truncated series.
func AccuracyOf(hz, spreadHz, farKm float64, series bool) Accuracy {
	near, far := math.Hypot(ephem.SiteKm, ephem.TurnKm), math.Hypot(farKm, ephem.TurnKm)
	rate := (near + far) * earthTurn // the two legs of an own echo err together
	leg := near
	if series {
		leg, rate = math.Hypot(near, ephem.SeriesKm), math.Hypot(rate, 2*seriesKmS)
	}
	return Accuracy{
		DistanceKm: leg, DopplerHz: hz * rate / lightKmS, DelayS: (leg + math.Hypot(leg, far)) / lightKmS,
		LossDB: reflectivityDB, SpreadHz: max(0.01, spreadShare*spreadHz),
	}
}

// CellKm is the uncertainty of a place that is only known by a locator of so many characters: the spread of an
// even distribution over the cell, at 50 degrees of latitude.
func CellKm(characters int) float64 {
	latDeg := 10.0
	for pair := 2; pair <= characters/2; pair++ {
		if pair%2 == 0 {
			latDeg /= 10
		} else {
			latDeg /= 24
		}
	}
	const kmPerDeg, cos50 = 111.2, 0.643
	return math.Hypot(latDeg, 2*latDeg*cos50) * kmPerDeg / math.Sqrt(12)
}
