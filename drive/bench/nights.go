package main

import (
	"fmt"

	"github.com/soniakeys/unit"

	"beamhelm/drive/step"
)

// nights tracks through gusty, frosty nights without a fault: nothing may trip.
func nights(count int, minutes float64) int {
	bad := 0
	for night := range count {
		p := stillAir(uint64(100 + night))
		p.Wind.MeanMPS, p.Wind.Turbulence, p.Wind.Direction = 11, 0.25, unit.AngleFromDeg(float64(36*night))
		p.Air.TemperatureC = -12
		c := step.Default()
		for i := range c.Axes {
			c.Axes[i].Tolerance = 0
		}
		for i, f := range track(&tracking{plant: p, config: c}, minutes, nil) {
			fmt.Printf("night %2d, %s: %v\n", night+1, [...]string{"azimuth", "elevation"}[i], f)
			if f.lost {
				bad++
			}
		}
	}
	return bad
}
