package echo

import (
	"math"
	"time"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

const (
	moonRadiusM = 1_737_400.0
	// Reflectivity is the share of what falls on the Moon's disc that comes back, as
	// handbooks use it: 0.065. Measured values, 0.07 from 8 m to 8 mm, are
	// good to a factor of 2 (Pettengill 1965).
	Reflectivity = 0.065
	// PerigeeKm is the mean distance of the Moon when nearest.
	PerigeeKm = 363_300.0
)

// LossDB is the two-way path loss between isotropic antennas, by the radar equation of
// a point target of 0.065 of the Moon's disc; distances from each site to the
// Moon's centre. A beam narrower than the Moon meets less of it than this promises.
func LossDB(hz, upKm, downKm float64) float64 {
	lambda := lightMps / hz
	sigma := Reflectivity * math.Pi * moonRadiusM * moonRadiusM
	fourPi := 4 * math.Pi
	return 10*math.Log10(fourPi*fourPi*fourPi/(lambda*lambda*sigma)) + 20*math.Log10(upKm*1000) +
		20*math.Log10(downKm*1000)
}

// AbovePerigeeDB is an echo's path loss beyond that at the mean perigee, by geocentric distances both: how high the
// Moon stands, which brings a station up to 6378 km or 0.3 dB nearer, is left out.
func AbovePerigeeDB(geocentricKm float64) float64 { return 40 * math.Log10(geocentricKm/PerigeeKm) }

// AboveBestOfMonthDB is the own echo's path loss at an instant beyond the least
// while the Moon is nearest within 15 days, by geocentric distances.
func AboveBestOfMonthDB(sky *ephem.Sky, at time.Time) float64 {
	_, _, now := sky.Geocentric(ephem.MoonBody(), at)
	minimum := now
	for hours := -15 * 24; hours <= 15*24; hours += 2 {
		_, _, then := sky.Geocentric(ephem.MoonBody(), at.Add(time.Duration(hours)*time.Hour))
		minimum = min(minimum, then)
	}
	return 40 * math.Log10(now/minimum)
}

// Polarisation returns by how much a linear polarisation sent there arrives turned
// here, clockwise or not: here minus there, from -90 (left out) to +90 degrees. The Moon keeps
// the plane in space, but the two verticals differ. Both sites at the same instant.
func Polarisation(sky *ephem.Sky, here, there ephem.Site, at time.Time) unit.Angle {
	moon := ephem.MoonBody()
	return foldHalf(sky.ParallacticAngle(here, moon, at) - sky.ParallacticAngle(there, moon, at))
}

// Between is the angle between two linear feeds whose horizons are that far turned: the same for feeds alike, a
// right angle beside it for a horizontal and a vertical one (across). From above -90 to +90 degrees.
func Between(spatial unit.Angle, across bool) unit.Angle {
	if across {
		return foldHalf(spatial + unit.AngleFromDeg(90))
	}
	return spatial
}

// foldHalf folds an angle to a half turn, from above -90 to +90 degrees.
func foldHalf(a unit.Angle) unit.Angle {
	const quarter = math.Pi / 2
	folded := math.Remainder(a.Rad(), math.Pi)
	if folded <= -quarter {
		folded += math.Pi
	}
	return unit.Angle(folded)
}

// PolarisationLossDB is the loss between two linear polarisations an angle apart;
// +Inf when they stand across.
func PolarisationLossDB(a unit.Angle) float64 {
	return -20 * math.Log10(math.Abs(math.Cos(a.Rad())))
}
