package view

import (
	"math"
	"testing"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

func TestMegahertz(t *testing.T) {
	for hz, want := range map[float64]string{
		144123456.4: "144.123 456", 10368100000: "10368.100 000", 999.6: "0.001 000", -28500000: "−28.500 000",
		math.NaN(): Missing, math.Inf(1): Missing, 1e300: Missing,
	} {
		if got := Megahertz(hz); got != want {
			t.Errorf("%v: %q, expected %q", hz, got, want)
		}
	}
	for hz, want := range map[float64]string{1296e6: "1296.000 MHz", 1296.0875e6: "1296.0875 MHz",
		10368.1e6: "10368.100 MHz"} {
		now := Now{Status: &desk.Status{Radio: &radio.Path{AgreedHz: hz}}}
		if got := AgreedWords(now); got != want {
			t.Errorf("%v: %q, expected %q", hz, got, want)
		}
	}
}
