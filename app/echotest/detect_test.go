//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"beamhelm/app/echotest"
	"beamhelm/app/echotest/trials"
)

func detect(t *testing.T, r *rand.Rand, c trials.Recipe) (echotest.Result, trials.Truth) {
	t.Helper()
	recording, plan, want := trials.Simulate(r, c)
	result, err := echotest.Detect(recording, plan)
	if err != nil {
		t.Fatal(err)
	}
	return result, want
}

func TestStrengthBands(t *testing.T) {
	for _, class := range trials.Classes {
		t.Run(class.Name, func(t *testing.T) {
			var all trials.Score
			for i, b := range trials.Bands {
				r := rand.New(rand.NewPCG(seed, uint64(i)))
				for range perBand {
					c := class.Echo(r, b)
					result, want := detect(t, r, c)
					if !result.Detected {
						t.Logf("%s: missed %+v, probability of noise %.2g", class.Name, c, result.NoiseProbability)
					}
					all.Add(result, want)
				}
			}
			t.Logf("%s: found %d of %d; rms: strength %.2f dB (mean %+.2f; from what was present %.2f), "+
				"frequency %.2f of max(0.6 Hz, 6 %% of the spread), spread %.2f octaves, delay %.1f ms",
				class.Name, all.Found, all.Tried, all.StrengthDB(), all.BiasDB(), all.PresentDB(), all.Tolerances(),
				all.Octaves(), all.DelayMS())
			if all.Found < int(class.Goal*float64(all.Tried)) {
				t.Errorf("%s: found %d of %d", class.Name, all.Found, all.Tried)
			}
			if class.Low > 10 && (all.StrengthDB() > strengthBound || all.Tolerances() > 1) {
				t.Errorf("%s: strength %.2f dB, frequency %.2f tolerances rms", class.Name, all.StrengthDB(),
					all.Tolerances())
			}
		})
	}
}

func TestNoEchoIsNoEcho(t *testing.T) {
	found, tried := 0, 0
	for i, b := range trials.Bands {
		r := rand.New(rand.NewPCG(seed+1, uint64(i)))
		for range emptyPerBand {
			c := trials.Empty(r, b)
			result, _ := detect(t, r, c)
			tried++
			if result.Detected {
				found++
				t.Logf("false alarm: %+v: %+v", c, result)
			}
		}
	}
	t.Logf("%d false alarms in %d recordings without an echo", found, tried)
	if float64(found) > emptyBound*float64(tried) {
		t.Errorf("%d false alarms of %d", found, tried)
	}
}

// What is there while no echo can be is no echo, whether it walks, comes and goes or stays.
func TestCarriersAreNoEchoes(t *testing.T) {
	for i, b := range trials.Bands {
		r := rand.New(rand.NewPCG(seed+2, uint64(i)))
		for _, c := range []trials.Recipe{{WalkDBHz: 14, Cycles: 10}, {WalkDBHz: 19, Cycles: 5},
			{KeyedDBHz: 22, Cycles: 5}, {SteadyDBHz: 22, Cycles: 5}} {
			c.MHz, c.SpreadHz, c.CN0DBHz, c.RateHz = b.MHz, b.SpreadHz, math.NaN(), 8000
			if result, _ := detect(t, r, c); result.Detected {
				t.Errorf("%+v: %+v", c, result)
			}
		}
	}
}

func BenchmarkDetect(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 1))
	recording, plan, _ := trials.Simulate(r, trials.Recipe{MHz: 5760, SpreadHz: 80, Cycles: 20, RateHz: 12000,
		CN0DBHz: 15})
	for b.Loop() {
		if _, err := echotest.Detect(recording, plan); err != nil {
			b.Fatal(err)
		}
	}
}
