package echotest

import (
	"math"
	"testing"
)

// By the lemma of Neyman and Pearson (1933) echo and noise are told apart best by the ratio of their likelihoods: of
// exponentials of mean m against 1 it is exp(-x/m)/m / exp(-x), whose logarithm's slope is each bin's weight.
func TestWeightsAreThoseOfTheRatioOfLikelihoods(t *testing.T) {
	f := frame{samples: 512, padded: 512, toneS: 2, binHz: 0.5}
	const cycles, z = 5, 6.
	kernel := newProfile(surface(432)).kernel(5, f.toneS, f.binHz)
	squares := 0.0
	for _, w := range kernel {
		squares += w * w
	}
	// An echo of so much power raises the sum by the kernel to z times its scatter in noise.
	power := z / math.Sqrt(squares*cycles)
	density := func(x, mean float64) float64 { return -x/mean - math.Log(mean) }
	slope := func(share float64) float64 {
		return density(2, 1+power*share) - density(2, 1) - density(1, 1+power*share) + density(1, 1)
	}
	got, sum := likeliest(kernel, f, cycles), 0.0
	for i, w := range got {
		sum += w
		middle := len(kernel) / 2
		if want := got[middle] * slope(kernel[i]) / slope(kernel[middle]); math.Abs(w-want) > 1e-9 {
			t.Errorf("bin %d weighs %.4f, not %.4f", i, w, want)
		}
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("the sum is %g", sum)
	}
}
