package echotest

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	// asideS is how far from the expected time the echo is looked for, either way.
	asideS = 0.2
	// delayStepS is the least step in which it is looked for; a delay is known to several of them.
	delayStepS = 0.0005
)

// delayOf is how much later than expected the echo's power comes, seconds: the place at
// which a box as long as the tone holds most of the power near the echo's frequency, all
// cycles together. NaN where no cycle leaves room for it.
func delayOf(r Recording, p Plan, f frame, x fit) float64 {
	margin := int(asideS * r.RateHz)
	n := smoothLength((f.samples+2*margin)/2) * 2
	margin = (n - f.samples) / 2
	b := newBand(n, max(2, 0.7*x.spreadHz), r.RateHz)
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
		b.add(level, (c.EchoMidHz+x.offsetHz)/r.RateHz)
		used++
	}
	if used == 0 {
		return math.NaN()
	}
	step := float64(n) / float64(len(b.power)) // samples
	return (float64(b.fullest(int(float64(f.samples)/step)))*step - float64(margin)) / r.RateHz
}

// band adds up the power by time of windows, within a band of their spectrum.
type band struct {
	power []float64 // as many steps as hold the band, or more
	aside int       // bins of the band on either side of its middle
	long  *fourier.FFT
	short *fourier.CmplxFFT
	line  []complex128
	inner []complex128
}

func newBand(n int, widthHz, rateHz float64) *band {
	aside := min(int(math.Ceil(widthHz/2*float64(n)/rateHz)), n/4)
	steps := min(n, max(4*aside, int(float64(n)/rateHz/delayStepS)))
	for steps != smoothLength(steps) {
		steps++
	}
	return &band{
		power: make([]float64, steps), aside: aside,
		long: fourier.NewFFT(n), short: fourier.NewCmplxFFT(steps),
		line: make([]complex128, n/2+1), inner: make([]complex128, steps),
	}
}

// add adds a window whose band lies around a frequency in cycles a sample.
func (b *band) add(window []float64, frequency float64) {
	b.long.Coefficients(b.line, window)
	clear(b.inner)
	middle := int(math.Round(frequency * float64(len(window))))
	for i := -b.aside; i <= b.aside; i++ {
		if at := middle + i; at >= 0 && at < len(b.line) {
			b.inner[(i+len(b.inner))%len(b.inner)] = b.line[at]
		}
	}
	b.short.Sequence(b.inner, b.inner)
	for i, v := range b.inner {
		b.power[i] += real(v)*real(v) + imag(v)*imag(v)
	}
}

// fullest is where a box of so many steps holds most of the power.
func (b *band) fullest(box int) int {
	sum := 0.0
	for _, v := range b.power[:box] {
		sum += v
	}
	maximum, at := sum, 0
	for i := 1; i+box <= len(b.power); i++ {
		sum += b.power[i+box-1] - b.power[i-1]
		if sum > maximum {
			maximum, at = sum, i
		}
	}
	return at
}
