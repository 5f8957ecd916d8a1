package echotest

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// asideS is how far from the expected time the echo is looked for, either way.
const asideS = 0.2

// delayOf is how much later than expected the echo's power comes, seconds: the place at
// which a box as long as the tone holds most of the power near the echo's frequency, all
// cycles together. NaN where no cycle leaves room for it.
func delayOf(r Recording, p Plan, f frame, x fit) float64 {
	margin := int(asideS * r.RateHz)
	n := smoothLength(f.samples + 2*margin)
	margin = (n - f.samples) / 2
	fft := fourier.NewCmplxFFT(n)
	total := make([]float64, n)
	used := 0
	for _, c := range p.Cycles {
		first := int(math.Round(c.EchoStartS*r.RateHz)) - margin
		if first < 0 || first+n > len(r.Samples) || float64(first)/r.RateHz < c.KeyOffS {
			continue
		}
		level, share := levelled(r.Samples[first:first+n], r.RateHz)
		if share < 0.8 {
			continue
		}
		addPower(total, level, fft, c.EchoMidHz+x.offsetHz, max(2, 0.7*x.spreadHz), r.RateHz)
		used++
	}
	if used == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range total[:f.samples] {
		sum += v
	}
	most, at := sum, 0
	for i := 1; i+f.samples <= n; i++ {
		sum += total[i+f.samples-1] - total[i-1]
		if sum > most {
			most, at = sum, i
		}
	}
	return float64(at-margin) / r.RateHz
}

// addPower adds the power of a window by time, within a band around a frequency.
func addPower(total, level []float64, fft *fourier.CmplxFFT, hz, widthHz, rateHz float64) {
	n := len(level)
	line := make([]complex128, n)
	for i, v := range level {
		sin, cos := math.Sincos(-2 * math.Pi * hz * float64(i) / rateHz)
		line[i] = complex(v*cos, v*sin)
	}
	line = fft.Coefficients(nil, line)
	keep := int(math.Ceil(widthHz / 2 * float64(n) / rateHz))
	for i := keep + 1; i < n-keep; i++ {
		line[i] = 0
	}
	for i, v := range fft.Sequence(nil, line) {
		total[i] += (real(v)*real(v) + imag(v)*imag(v)) / float64(n)
	}
}
