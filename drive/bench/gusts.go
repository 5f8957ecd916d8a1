package main

import (
	"fmt"
	"math"
)

// gustSeeds are the gusts that are tried.
const gustSeeds = 8

// gusts tracks through gusts of several seeds, by the drive's own estimate, with
// the truth in its place, with all of it but how far the teeth give way, and by
// its own estimate with an encoder whose edges are all in their places: how near
// it is to what can be. No goals: those of one seed are with the tracks.
func gusts(minutes float64) int {
	for _, row := range trackings() {
		if row.plant.Wind.MeanMPS != 12 || row.floor <= 0 || row.setting {
			continue
		}
		var squares [4][2]float64
		var better [2]int
		left := 0
		for seed := range uint64(gustSeeds) {
			row.plant.Seed = 3 + seed
			own := track(&row, minutes, nil)
			truth, stiff := track(&row, minutes, &insight{learned: own}),
				track(&row, minutes, &insight{learned: own, stiff: true})
			even := row
			for i := range even.plant.Axes {
				even.plant.Axes[i].Encoder.Uneven = 0
			}
			exact := track(&even, minutes, nil)
			if own[0].lost || truth[0].lost || stiff[0].lost || exact[0].lost {
				left++
				continue
			}
			for i := range own {
				fmt.Printf("gusts, %s, seed %d, axis %d: own %.4f, truth %.4f, but for the teeth %.4f, even "+
					"edges %.4f\n", row.name, row.plant.Seed, i, own[i].rms, truth[i].rms, stiff[i].rms, exact[i].rms)
				for k, f := range [...]figures{own[i], truth[i], stiff[i], exact[i]} {
					squares[k][i] += f.rms * f.rms
				}
				if own[i].rms < stiff[i].rms {
					better[i]++
				}
			}
		}
		n := float64(gustSeeds - left)
		for i, name := range [...]string{"azimuth", "elevation"} {
			rms := func(k int) float64 { return math.Sqrt(squares[k][i] / n) }
			fmt.Printf("gusts, %s, %s, %.0f seeds: own rms %.4f, truth %.4f (%.2f times), but for the teeth %.4f, "+
				"worse than own on %d; even edges %.4f (%.2f times); %d given up\n", row.name, name, n, rms(0), rms(1),
				rms(0)/rms(1), rms(2), better[i], rms(3), rms(3)/rms(1), left)
		}
	}
	return 0
}
