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

// Power in the quiet time tells of another station where noise is so strong there as seldom as it must be: in the
// values that the quiet time has, which are fewer than those of the echo's time.
func TestTheQuietTimeTellsByItsOwnValues(t *testing.T) {
	const cycles, quietS = 5, 0.5
	f := frame{samples: 256, padded: 512, toneS: 2, binHz: 0.25, reach: 200}
	other := another{kernel: newProfile(surface(144)).kernel(1.5, f.toneS, f.binHz)}
	wide, own := noiseWidth(other.kernel), make([]float64, 2*f.reach+1)
	own[f.reach] = 1e-6
	values := (cycles - 1) * quietS / f.toneS * wide * float64(f.samples) / float64(f.padded)
	certain := math.Sqrt(2 * math.Log(float64(len(own))/wide/otherChance))
	for _, c := range []struct {
		beyond float64 // normal deviates over what is certain
		found  bool
	}{{-0.15, false}, {0.15, true}} {
		// What a mean has that is as rare as so many normal deviates, by Wilson and Hilferty (1931).
		quiet := math.Pow(1+(certain+c.beyond)/(3*math.Sqrt(values))-1/(9*values), 3)
		list := make([]spectrum, cycles)
		for k := range list {
			list[k] = spectrum{power: make([]float64, len(own)), midHz: 1500}
			for i := range list[k].power {
				list[k].power[i] = 1.001
			}
			if k > 0 { // one cycle has no quiet time
				list[k].quiet, list[k].quietS = make([]float64, len(own)), quietS
				for i := range list[k].quiet {
					list[k].quiet[i] = quiet
				}
			}
		}
		if other.find(list, f, own, make([]int, cycles)); other.strength > 0 != c.found {
			t.Errorf("%g beyond what is certain, %.2f times the noise: strength %.4f", c.beyond, quiet, other.strength)
		}
	}
}
