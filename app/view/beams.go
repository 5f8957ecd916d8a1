package view

import (
	"fmt"
	"math"

	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
)

// BeamFormulas are what BeamLines is worked out by.
const BeamFormulas = "half-power width K wavelength / diameter, in degrees, K from 59 for an even illumination to 72 " +
	"for a strong taper; gain efficiency · (π diameter / wavelength)²"

// BeamLines tell half-power beamwidth and gain of every band and feed.
func BeamLines(s settings.Settings) (lines []string) {
	for _, b := range s.Bands {
		gain := 10 * math.Log10(s.Dish.Efficiency*math.Pow(math.Pi*s.Dish.DiameterM*b.MHz/299.792458, 2))
		for _, f := range b.Feeds {
			width, how := station.HalfPower(s.Dish, b.MHz, f).Deg(), "computed"
			if f.BeamwidthDeg > 0 {
				how = "measured"
			}
			lines = append(lines, fmt.Sprintf("%s, %s: beam %.2f° (%s), gain about %.1f dBi", b.Name, f.Name, width,
				how, gain))
		}
	}
	return lines
}
