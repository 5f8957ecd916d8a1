package echotest

import (
	"fmt"
	"math"
)

// Strength is how strong the echo was in some of the cycles of a plan.
type Strength struct {
	// Cycles are those that could be used.
	Cycles int
	// CN0Hz is the echo's whole power over the noise in 1 Hz, as a ratio; below 0 where noise alone made it so.
	CN0Hz float64
	// widthHz is the echo's noise width, seconds what was gathered of it.
	widthHz, seconds float64
}

// ErrorHz is the standard error of a strength gathered as this one was, were the echo of a strength cn0Hz.
func (s Strength) ErrorHz(cn0Hz float64) float64 {
	return math.Sqrt(variance(max(0, cn0Hz), s.widthHz) / s.seconds)
}

// DetectPlaces looks for the echoes of a plan whose cycles were taken at several places of the beam; places says at
// which, from 0 to count-1. All of them together tell whether there is an echo, its frequency and width; with these
// given, each place has a strength of its own. There are none where no echo was detected.
func DetectPlaces(r Recording, p Plan, places []int, count int) (Result, []Strength, error) {
	if len(places) != len(p.Cycles) {
		return Result{}, nil, fmt.Errorf("%d places for %d cycles", len(places), len(p.Cycles))
	}
	for _, place := range places {
		if place < 0 || place >= count {
			return Result{}, nil, fmt.Errorf("place %d of %d", place, count)
		}
	}
	if err := p.checked(r); err != nil {
		return Result{}, nil, err
	}
	d := lookFor(r, p)
	if !d.Detected {
		return d.Result, nil, nil
	}
	middle := middleOf(d.list)
	width := noiseWidth(d.profile.kernel(d.fit.spreadHz, d.f.toneS, d.f.binHz)) * d.f.binHz
	fine := d.profile.fine(d.fit.spreadHz, d.f.toneS, d.f.binHz)
	at := float64(d.f.reach) + d.fit.offsetHz/d.f.binHz
	strengths := make([]Strength, count)
	for place := range strengths {
		var list []spectrum
		for _, s := range d.list {
			if places[s.cycle] == place {
				list = append(list, s)
			}
		}
		if len(list) == 0 {
			continue
		}
		stack := stackedAbout(list, d.f, d.best.drift, middle, d.f.reach, limitedMean)
		strength, ok := signedStrength(stack, weightsAt(fine, at, len(stack)))
		if !ok {
			continue
		}
		strengths[place] = Strength{
			Cycles: len(list), CN0Hz: strength * float64(d.f.samples) / float64(d.f.padded) / d.f.toneS,
			widthHz: width, seconds: float64(len(list)) * d.f.toneS,
		}
	}
	return d.Result, strengths, nil
}
