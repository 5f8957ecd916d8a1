package view

import (
	"math"

	"beamhelm/app/desk"
)

// ShadeSteps is the number of steps of brightness of the noise over the sky, ShadeRange how many times the lowest
// temperature the last of them stands for.
const (
	ShadeSteps = 24
	ShadeRange = 5
)

// Shade is the step of brightness of an antenna temperature, by its logarithm over the lowest of the sky; 0 where
// either isn't known.
func Shade(kelvin, lowest float64) int {
	if !(lowest > 0) || !(kelvin > lowest) {
		return 0
	}
	return int(math.Round(min(math.Log(kelvin/lowest)/math.Log(ShadeRange), 1) * ShadeSteps))
}

// SkyReading tells of a place in the panorama: azimuth, elevation, and with the sky shaded the antenna temperature that
// the beam would have there. Last what a click does.
func SkyReading(now Now, at desk.AxisAngles) string {
	words := "az " + Number(at.Az.Mod1().Deg(), 1) + "°  el " + Number(at.El.Deg(), 1) + "°"
	switch {
	case now.Shading != nil && math.IsNaN(now.Shading.AtK(at.Az, at.El)):
		words += "  antenna noise not known"
	case now.Shading != nil:
		words += "  antenna " + kelvin(now.Shading.AtK(at.Az, at.El)) + " K"
	case now.Shaded:
		words += "  antenna noise is being computed"
	}
	return words + "  click to preview a slew"
}

// SkyMagnified tells that not all of the panorama is seen, and how it is again.
func SkyMagnified(times float64) string {
	return "magnified " + Number(times, 1) + "×  Home or a double click shows all"
}
