package sked

import (
	"math"
	"testing"

	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
)

// The noise at a partner's end is that of their own dish and receiver where they are known: the same sky costs a noisy
// receiver little and a quiet one much.
func TestPartnersHearWithTheirOwnNoise(t *testing.T) {
	sky, galaxy := skies(t)
	rise := func(systemK float64) float64 {
		there := at(t, "FN42hn", 8, partner.Circular)
		q := asked(t, 432, there)
		if systemK > 0 {
			dish := noise.Dish{Hz: q.Hz, DiameterM: 8, Efficiency: 0.55}
			l, err := budget.CounterpartListener(dish, noise.Receiver{NoiseK: 40}, systemK)
			if err != nil {
				t.Fatal(err)
			}
			q.There[0].Listener, q.There[0].ColdK = l, l.ColdK()
		}
		maximum := 0.0
		j := judge{sky, galaxy, q}
		for _, w := range Spans(sky, q) {
			maximum = math.Max(maximum, j.noise(&q.There[0], w.From.Add(w.To.Sub(w.From)/2)))
		}
		return maximum
	}
	ours, quiet, noisy := rise(0), rise(60), rise(2000)
	if !(noisy < 0.5 && noisy < ours/3 && quiet > ours) {
		t.Errorf("the sky costs %.2f dB as ours would hear it, %.2f dB with 60 K, %.2f dB with 2000 K", ours, quiet,
			noisy)
	}
}
