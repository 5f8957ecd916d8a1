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
			level, _, _ := logLevel(values)
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

// A crash of noise in one cycle counts as so many times the others, however strong it is, in noise and in an echo.
func TestACrashCountsLittle(t *testing.T) {
	for _, usual := range []float64{1, 8} {
		var values []float64
		for range 9 {
			values = append(values, usual)
		}
		got := limitedMean(append(values, 1000*usual))
		if limit := usual * (9 + maxOverMean/math.Ln2) / 10 * 1.02; got > limit || got < usual {
			t.Errorf("nine times %g and a crash: %.2f, want from %g to %.2f", usual, got, usual, limit)
		}
	}
}

// A mean of n exponentials is over x as often as a Poisson variate of mean n x is under n: the distribution of Erlang.
// The normal deviate that it is taken for is as rare.
func TestMeansOfExponentialsAsNormalDeviates(t *testing.T) {
	for _, n := range []int{5, 20, 200} {
		for _, sigmas := range []float64{2, 3, 4.5} {
			term := math.Exp(-float64(n) - sigmas*math.Sqrt(float64(n)))
			tail := term
			for k := 1; k < n; k++ {
				term *= (float64(n) + sigmas*math.Sqrt(float64(n))) / float64(k)
				tail += term
			}
			taken := math.Erfc(asNormal(sigmas, float64(n))/math.Sqrt2) / 2
			if math.Abs(math.Log(taken/tail)) > 0.15 {
				t.Errorf("%d exponentials, %g: %.2g, not %.2g", n, sigmas, taken, tail)
			}
		}
	}
}
