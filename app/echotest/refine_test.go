//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Echoes of another station are not counted with the own ones: the mean strength of a few recordings is what is present
// in them, and where there is no own echo there is none.
func TestAnotherStationIsNotCounted(t *testing.T) {
	c := recipe{mhz: 1296, spreadHz: 30, cycles: 20, rateHz: 8000, otherDBHz: 15}
	c.cn0DBHz = cn0For(20, c.mhz, c.spreadHz, c.cycles)
	r := rand.New(rand.NewPCG(3, 0))
	sum, tries := 0.0, 4
	for range tries {
		result, want := detect(t, r, c)
		if !result.Detected {
			t.Fatal("not detected")
		}
		sum += result.CN0DBHz - want.presentDBHz
	}
	if mean := sum / float64(tries); math.Abs(mean) > 0.6 {
		t.Errorf("%+.2f dB on average, at most 0.6", mean)
	}
	c.cn0DBHz, c.cycles = math.NaN(), 5
	for range 8 {
		if result, _ := detect(t, r, c); result.Detected {
			t.Errorf("found where there is none: %+v", result)
		}
	}
}

// Each mean of exponentials of mean 1 is 1, and the logarithm of their level 0.
func TestMeansOfNoise(t *testing.T) {
	r := random(5)
	var trim trimmed
	for _, n := range []int{1, 5, 10, 30, 50} {
		var trimmedSum, medianSum, keptSum, logSum float64
		const tries = 40000
		values, left := make([]float64, n), make([]float64, 0, n)
		for range tries {
			left = left[:0]
			for i := range values {
				values[i] = r.exponential()
				if values[i] < farBeyond {
					left = append(left, values[i])
				}
			}
			if len(left) == 0 {
				left = append(left, 1)
			}
			keptSum += keptMean(left)
			trimmedSum += trim.mean(values)
			medianSum += medianOver(values)
			level, _ := logLevel(values)
			logSum += level
		}
		for name, sum := range map[string]float64{"trimmed": trimmedSum, "median": medianSum, "kept": keptSum} {
			if mean := sum / tries; math.Abs(mean-1) > 0.025 {
				t.Errorf("%s mean of %d: %.3f", name, n, mean)
			}
		}
		if mean := logSum / tries; n >= 50 && math.Abs(mean) > 0.003 {
			t.Errorf("level of %d: %.4f", n, mean)
		}
	}
}
