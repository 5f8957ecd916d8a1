package main

import (
	"fmt"

	"github.com/soniakeys/unit"
)

// night is one of the gusty, frosty nights, each with another wind.
func night(number int) *tracking {
	p := stillAir(uint64(100 + number))
	p.Wind.MeanMPS, p.Wind.Turbulence, p.Wind.Direction = 11, 0.25, unit.AngleFromDeg(float64(36*number))
	p.Air.TemperatureC = -12
	return &tracking{plant: p, config: tightest()}
}

// nights tracks through gusty, frosty nights without a fault: nothing may trip.
func nights(count int, minutes float64) int {
	bad := 0
	for number := range count {
		for i, f := range track(night(number), minutes, nil) {
			fmt.Printf("night %2d, %s: %v\n", number+1, [...]string{"azimuth", "elevation"}[i], f)
			if f.lost {
				bad++
			}
		}
	}
	return bad
}
