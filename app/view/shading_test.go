package view_test

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// What isn't known is said, and shaded as the lowest.
func TestSkyReadingOfUnknownNoise(t *testing.T) {
	shading := &desk.Shading{LowestK: math.NaN()}
	for c := range shading.K {
		for r := range shading.K[c] {
			shading.K[c][r] = float32(math.NaN())
		}
	}
	now := view.Now{Status: &desk.Status{Shading: shading, Shaded: true}}
	at := desk.AxisAngles{Az: unit.AngleFromDeg(370), El: unit.AngleFromDeg(20)}
	if got := view.SkyReading(now, at); got != "az 10.0°  el 20.0°  antenna noise not known  click to preview a slew" {
		t.Errorf("it reads %q", got)
	}
	now.Shading = nil
	if got := view.SkyReading(now,
		at); got != "az 10.0°  el 20.0°  antenna noise is being computed  click to preview a slew" {
		t.Errorf("before it is known it reads %q", got)
	}
	for _, row := range []struct {
		kelvin, lowest float64
		step           int
	}{{20, 20, 0}, {10, 20, 0}, {100, 20, view.ShadeSteps}, {1e4, 20, view.ShadeSteps},
		{20 * math.Sqrt(5), 20, view.ShadeSteps / 2},
		{math.NaN(), 20, 0}, {30, math.NaN(), 0}, {30, 0, 0}} {
		if got := view.Shade(row.kelvin, row.lowest); got != row.step {
			t.Errorf("%v K over %v: step %d, want %d", row.kelvin, row.lowest, got, row.step)
		}
	}
}
