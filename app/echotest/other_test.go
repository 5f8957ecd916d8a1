//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"beamhelm/app/echotest/trials"
)

// besideAnother is an echo on 1296 MHz of a clarity z, with another station's echo of so many dB Hz beside it.
func besideAnother(cycles int, z, otherDBHz float64) trials.Recipe {
	c := trials.Recipe{MHz: 1296, SpreadHz: 30, Cycles: cycles, RateHz: 8000, OtherDBHz: otherDBHz}
	c.CN0DBHz = trials.Band{MHz: c.MHz, SpreadHz: c.SpreadHz}.CN0DBHz(z, cycles)
	return c
}

// Echoes of another station are not counted with the own ones: the mean strength of a few recordings is what is
// present in them.
func TestAnotherStationIsNotCounted(t *testing.T) {
	c := besideAnother(20, 20, 15)
	r := rand.New(rand.NewPCG(3, 0))
	sum, tries := 0.0, 4
	for range tries {
		result, want := detect(t, r, c)
		if !result.Detected {
			t.Fatal("not detected")
		}
		sum += result.CN0DBHz - want.PresentDBHz
	}
	if mean := sum / float64(tries); math.Abs(mean) > 0.6 {
		t.Errorf("%+.2f dB on average, at most 0.6", mean)
	}
}

// Of another station's echoes alone there is no own echo: neither where the own one could lie on the same frequencies,
// nor where it could lie beside them in some cycles.
func TestAnotherStationAloneIsNoEcho(t *testing.T) {
	for i, c := range []trials.Recipe{{MHz: 432, SpreadHz: 5, OtherDBHz: 13}, {MHz: 1296, SpreadHz: 30, OtherDBHz: 15},
		{MHz: 10368, SpreadHz: 180, OtherDBHz: 16}} {
		c.CN0DBHz, c.Cycles, c.RateHz = math.NaN(), 5, 8000
		r := rand.New(rand.NewPCG(5, uint64(i)))
		for range 10 {
			if result, _ := detect(t, r, c); result.Detected {
				t.Errorf("%+v: %+v", c, result)
			}
		}
	}
}

// Another station's echoes don't hide the own one, though they are there in the quiet time too.
func TestAnotherStationHidesNoEcho(t *testing.T) {
	wide := trials.Recipe{MHz: 5760, SpreadHz: 80, Cycles: 10, RateHz: 8000, OtherDBHz: 17}
	wide.CN0DBHz = trials.Band{MHz: wide.MHz, SpreadHz: wide.SpreadHz}.CN0DBHz(10, wide.Cycles)
	for i, c := range []trials.Recipe{besideAnother(5, 16, 14), wide} {
		r := rand.New(rand.NewPCG(12, uint64(2*i)))
		found, tries := 0, 4
		for range tries {
			if result, _ := detect(t, r, c); result.Detected {
				found++
			}
		}
		t.Logf("%g MHz: found %d of %d", c.MHz, found, tries)
		if found < tries-1 { // one may be hidden
			t.Errorf("%g MHz: found %d of %d", c.MHz, found, tries)
		}
	}
}
