package noise

import (
	"math"

	"github.com/soniakeys/unit"
)

const (
	lightMps  = 299_792_458.0
	boltzmann = 1.380649e-23 // J/K, exact
	// SolarFluxUnit in W m⁻² Hz⁻¹.
	SolarFluxUnit = 1e-22
	// Jansky in W m⁻² Hz⁻¹.
	Jansky = 1e-26
)

// HalfPower returns the full half-power beamwidth of a dish, for an edge taper of 12 to
// 15 dB: 70 degrees times wavelength over diameter (66 to 71 by taper, computed).
func HalfPower(hz, diameterM float64) unit.Angle {
	return unit.AngleFromDeg(70 * lightMps / hz / diameterM)
}

// GainDB returns the gain over isotropic, dB, of a dish of some aperture efficiency
// (0.5 to 0.65 is typical; 0.55 is common practice).
func GainDB(hz, diameterM, efficiency float64) float64 {
	x := math.Pi * diameterM * hz / lightMps
	return 10 * math.Log10(efficiency*x*x)
}

// PointingLossDB is what a beam off by an angle loses, one way, as a Gaussian beam:
// 3.01 dB at half a beamwidth. Good to 0.6 beamwidths. An own echo loses it twice.
func PointingLossDB(off, halfPower unit.Angle) float64 {
	x := off.Rad() / halfPower.Rad()
	return 40 * math.Log10(2) * x * x
}

// SurfaceLossDB is what a surface of some roughness loses (Ruze): rms error as half the
// path, in metres. Good to about 3 dB.
func SurfaceLossDB(hz, roughnessM float64) float64 {
	x := 4 * math.Pi * roughnessM * hz / lightMps
	return 10 * math.Log10(math.E) * x * x
}

// DiscCorrection is by how much an even disc's flux counts for less in a Gaussian beam
// pointed at its middle, at least 1: x/(1-exp(-x)), x = ln 2 (disc/half-power)².
func DiscCorrection(disc, halfPower unit.Angle) float64 {
	x := discOverBeam(disc, halfPower)
	if x < 1e-9 {
		return 1
	}
	return x / -math.Expm1(-x)
}

// DiscShare is the part of a Gaussian beam that a disc in its middle fills.
func DiscShare(disc, halfPower unit.Angle) float64 {
	return -math.Expm1(-discOverBeam(disc, halfPower))
}

func discOverBeam(disc, halfPower unit.Angle) float64 {
	ratio := disc.Rad() / halfPower.Rad()
	return math.Ln2 * ratio * ratio
}

// YFromGT is the Y factor in dB that a source of some flux (both polarisations, W m⁻² Hz⁻¹)
// gives over cold sky, for a G/T in dB per kelvin and a DiscCorrection.
func YFromGT(gtDB, flux, hz, correction float64) float64 {
	lambda := lightMps / hz
	return 10 * math.Log10(1+math.Pow(10, gtDB/10)*flux*lambda*lambda/(8*math.Pi*boltzmann*correction))
}

// GTFromY is the inverse of YFromGT; -Inf for a Y factor of 0 dB or less.
func GTFromY(yDB, flux, hz, correction float64) float64 {
	lambda := lightMps / hz
	y := math.Pow(10, yDB/10)
	if !(y > 1) {
		return math.Inf(-1)
	}
	return 10 * math.Log10((y-1)*8*math.Pi*boltzmann*correction/(flux*lambda*lambda))
}

// GroundY is the Y factor in dB of ground of 290 K over a cold sky, for a system noise on
// the cold sky of systemK, of which skyK comes in by the beam.
func GroundY(systemK, skyK float64) float64 {
	return 10 * math.Log10((systemK-skyK+290)/systemK)
}

// DiscFlux is the flux of a disc of some temperature above the sky behind it, W m⁻² Hz⁻¹.
func DiscFlux(hz, aboveK float64, disc unit.Angle) float64 {
	lambda := lightMps / hz
	solid := math.Pi / 4 * disc.Rad() * disc.Rad()
	return 2 * boltzmann * aboveK * solid / (lambda * lambda)
}
