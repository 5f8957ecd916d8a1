package view

import (
	"math"
	"strings"

	"beamhelm/app/contact"
)

// ContactFigures are those of a contact's moment, in a line; what isn't known is left out.
func ContactFigures(c contact.Contact) string {
	parts := []string{c.Band}
	add := func(v float64, words string) {
		if !math.IsNaN(v) {
			parts = append(parts, words)
		}
	}
	add(c.AzDeg, "azimuth "+Number(c.AzDeg, 1)+"°")
	add(c.ElDeg, "elevation "+Number(c.ElDeg, 1)+"°")
	add(c.DopplerHz, "Doppler "+SignedHertz(c.DopplerHz, 1))
	add(c.DegradationDB, "degradation "+degradation(c.DegradationDB)+" dB")
	add(c.SystemK, "system noise "+kelvin(c.SystemK)+" K")
	add(c.NoiseDB, Number(c.NoiseDB, 1)+" dB above cold sky")
	return strings.Join(parts, ", ")
}
