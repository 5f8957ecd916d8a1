package echotest

import (
	"math"
	"testing"
)

// Each mean of exponentials of mean 1 is 1, and the logarithm of their level 0.
func TestMeansOfNoise(t *testing.T) {
	r := random(5)
	for _, n := range []int{1, 5, 10, 30, 50} {
		var limitedSum, medianSum, keptSum, logSum float64
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
			limitedSum += limitedMean(values)
			medianSum += medianOver(values)
			level, _ := logLevel(values)
			logSum += level
		}
		for name, sum := range map[string]float64{"limited": limitedSum, "median": medianSum, "kept": keptSum} {
			if mean := sum / tries; math.Abs(mean-1) > 0.025 {
				t.Errorf("%s mean of %d: %.3f", name, n, mean)
			}
		}
		if mean := logSum / tries; n >= 50 && math.Abs(mean) > 0.003 {
			t.Errorf("level of %d: %.4f", n, mean)
		}
	}
}
