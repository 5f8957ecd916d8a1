//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// noiseList is what cycles of noise alone look like.
func noiseList(r *rand.Rand, f frame, cycles int) []spectrum {
	return inNoise(r, f, cycles, func([]complex128) {})
}

// inNoise is what cycles of something in noise look like, each window transformed as a recording's is.
func inNoise(r *rand.Rand, f frame, cycles int, put func(window []complex128)) (list []spectrum) {
	fft := fourier.NewCmplxFFT(f.padded)
	for k := range cycles {
		window := make([]complex128, f.padded)
		put(window[:f.samples])
		for i := range f.samples {
			window[i] += complex(r.NormFloat64(), r.NormFloat64()) * complex(math.Sqrt(0.5/float64(f.samples)), 0)
		}
		line := fft.Coefficients(nil, window)
		power := make([]float64, 2*f.reach+1)
		for i := range power {
			v := line[(i-f.reach+f.padded)%f.padded]
			power[i] = real(v)*real(v) + imag(v)*imag(v)
		}
		list = append(list, spectrum{power: power, midHz: 1500, atS: 6 * float64(k)})
	}
	return list
}

// Noise looks like an echo as often as its probability says: in a tenth of all recordings at most a tenth, and so on,
// however narrow the echo is, however many drifts are tried, and however well the level of the noise is known.
func TestProbabilityOfNoise(t *testing.T) {
	for _, c := range []struct {
		mhz, spreadHz  float64
		cycles, padded int
		floor          float64 // the standard error of what the noise is taken for
	}{{144, 1.5, 20, 1024, 0}, {432, 5, 5, 1024, 0}, {1296, 30, 10, 512, 0}, {5760, 80, 10, 512, 0.1}} {
		f := frame{samples: 512, padded: c.padded, toneS: 2, binHz: 256 / float64(c.padded)}
		f.reach = int(100 / f.binHz)
		p := Plan{SpreadHz: c.spreadHz, SearchHz: 50, DriftLimitHzPerS: 0.05}
		kernel := newProfile(surface(c.mhz)).kernel(p.SpreadHz, f.toneS, f.binHz)
		r := rand.New(rand.NewPCG(21, uint64(c.mhz)))
		var chance chance
		const tries = 300
		tenth, third := 0, 0
		for i := range tries {
			list := noiseList(r, f, c.cycles)
			for k := range list {
				list[k].floorError = c.floor
				taken := math.Exp(c.floor * r.NormFloat64())
				for bin := range list[k].power {
					list[k].power[bin] /= taken
				}
			}
			if i == 0 {
				chance = chanceOf(list, kernel, f, p)
			}
			probability := chance.probability(search(list, f, p, kernel, nil).level)
			if probability < 0.1 {
				tenth++
			}
			if probability < 0.3 {
				third++
			}
		}
		t.Logf("%g MHz: under 0.1 %d, under 0.3 %d of %d", c.mhz, tenth, third, tries)
		if tenth < tries/20 || tenth > tries/6 || third < tries/5 || third > 2*tries/5 {
			t.Errorf("%g MHz: under 0.1 %d, under 0.3 %d of %d", c.mhz, tenth, third, tries)
		}
	}
}
