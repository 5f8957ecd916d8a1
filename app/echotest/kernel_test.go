package echotest

import (
	"math"
	"testing"
)

// The half-power width and the noise bandwidth of the echo's spectrum as parts of the
// limb-to-limb spread, by band. Computed once with an independent numerical integration
// of the same laws of scattering; to be read as a check of the arithmetic, not of the Moon.
func TestProfileWidths(t *testing.T) {
	for _, want := range []struct{ mhz, half, noise float64 }{
		{144, 0.12, 0.39}, {432, 0.16, 0.49}, {1296, 0.24, 0.61}, {2304, 0.29, 0.67},
		{5760, 0.42, 0.76}, {10368, 0.53, 0.82}, {24048, 0.73, 0.87},
	} {
		p := newProfile(surface(want.mhz))
		const n = 2000
		var square, top float64
		for i := range n {
			v := p.at((float64(i)+0.5)/n*2 - 1)
			square += v * v * 2 / n
			top = max(top, v)
		}
		// x runs over twice the half spread: a part of limb to limb is half of it.
		if noise := 1 / square / 2; math.Abs(noise-want.noise) > 0.02 {
			t.Errorf("%g MHz: noise bandwidth %.3f of the spread, not %.2f", want.mhz, noise, want.noise)
		}
		half := 0.0
		for x := 0.0; x < 1; x += 0.001 {
			if p.at(x) < top/2 {
				half = x
				break
			}
		}
		if math.Abs(half-want.half) > 0.02 {
			t.Errorf("%g MHz: half-power width %.3f of the spread, not %.2f", want.mhz, half, want.half)
		}
	}
}

// A rough surface alone gives (1-x^2)^0.75: the closed form of the strip integral of cos^1.5.
func TestRoughIsTheClosedForm(t *testing.T) {
	strip := func(x float64) float64 {
		sum := 0.0
		const n = 4000
		for i := range n {
			u := (float64(i) + 0.5) / n * math.Pi / 2
			y := math.Sqrt(1-x*x) * math.Sin(u)
			sum += math.Pow(1-x*x-y*y, 0.75) / n
		}
		return sum
	}
	for _, x := range []float64{0.2, 0.5, 0.8, 0.95} {
		if got, want := roughAt(x)/roughAt(0), strip(x)/strip(0); math.Abs(got-want) > 1e-3 {
			t.Errorf("at %g: %g, not %g", x, got, want)
		}
	}
}

func TestKernelSumsToOne(t *testing.T) {
	for _, spread := range []float64{0, 0.3, 5, 15, 180} {
		k := newProfile(surface(1296)).kernel(spread, 2, 0.5)
		sum := 0.0
		for i, w := range k {
			sum += w
			if math.Abs(w-k[len(k)-1-i]) > 1e-12 {
				t.Errorf("spread %g: bin %d is not mirrored", spread, i)
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("spread %g: the sum is %g", spread, sum)
		}
	}
}
