package view

import (
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/radio"
)

func TestWordsForTheMerit(t *testing.T) {
	const nothing = "path +0.0 dB, noise +0.0 dB, spread 18 Hz"
	for _, c := range []struct {
		change      func(*radio.Path)
		head, under string
	}{
		{func(r *radio.Path) { r.Merit, r.Worth.PathDB, r.Worth.NoiseDB = 0.9, 0.6, 0.2 },
			"Excellent", "path +0.6 dB, noise +0.2 dB, spread 18 Hz"},
		{func(r *radio.Path) { r.Merit, r.Worth.NoiseDB = 0.65, -0.3 },
			"Good", "path +0.0 dB, noise −0.3 dB, spread 18 Hz"},
		{func(r *radio.Path) { r.Merit = 0.4 }, "Fair", nothing},
		{func(r *radio.Path) {}, "Poor", nothing},
		{func(r *radio.Path) { r.Worth.TooLow, r.Up = true, false }, "The Moon is too low", nothing},
		{func(r *radio.Path) { r.Worth.TooLow = true }, "The Moon is too low there", nothing},
		{func(r *radio.Path) { r.Worth.SunTooNear = true }, "The Sun is 4° from the Moon", nothing},
		{func(r *radio.Path) {
			r.Merit, r.HasPartner, r.BothLinear = 0.5, true, true
			r.BetweenFeeds, r.PolarisationLossDB = unit.AngleFromDeg(45), 3.01
		}, "Fair", "path +0.0 dB, noise +0.0 dB, spread 23 Hz, polarisation +45° costs 3.0 dB"},
	} {
		r := &radio.Path{Up: true, SunOff: unit.AngleFromDeg(4),
			Own: radio.Signal{SpreadHz: 18.4}, Mutual: radio.Signal{SpreadHz: 22.6}}
		c.change(r)
		if got := summary(r); got.Head.Words != c.head || got.Under.Words != c.under {
			t.Errorf("%q, %q, want %q, %q", got.Head.Words, got.Under.Words, c.head, c.under)
		}
	}
}
