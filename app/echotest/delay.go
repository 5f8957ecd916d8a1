package echotest

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	// asideS is how far from the expected time the echo is looked for, either way.
	asideS = 0.2
	// delayStepS is the least step in which it is looked for; a delay is known to several of them.
	delayStepS = 0.0005
	// arrivalS is the standard error of the time expected: the sound's delay is known no better.
	arrivalS = 0.02
)

// delayOf is how much later than expected the echo's power comes, seconds: the mean over the places of a box as long
// as the tone, each by the likelihood of the power near the echo's frequency, inside and outside, all cycles
// together, and by how far the expected time is trusted. NaN where no cycle leaves room for it.
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
	stepS := float64(n) / float64(len(b.power)) / r.RateHz
	return b.begin(int(f.toneS/stepS), stepS, float64(margin)/r.RateHz, float64(used))
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

// begin is when a box of so many steps begins, from expectedS. Inside it and outside it the power is exponential about
// a mean of its own, in as many independent values as the band's width and the cycles make.
func (b *band) begin(box int, stepS, expectedS, cycles float64) float64 {
	independent := cycles * float64(2*b.aside+1) / float64(len(b.power)) // for each step
	all, inside := 0.0, 0.0
	for i, v := range b.power {
		all += v
		if i < box {
			inside += v
		}
	}
	outside := len(b.power) - box
	likely := make([]float64, outside+1)
	for i := range likely {
		if i > 0 {
			inside += b.power[i+box-1] - b.power[i-1]
		}
		in, out := inside/float64(box), (all-inside)/float64(outside)
		if in < out { // no echo there
			in, out = all/float64(len(b.power)), all/float64(len(b.power))
		}
		off := (float64(i)*stepS - expectedS) / arrivalS
		likely[i] = -independent*(float64(box)*math.Log(in)+float64(outside)*math.Log(out)) - off*off/2
	}
	maximum := slices.Max(likely)
	sum, weight := 0.0, 0.0
	for i, l := range likely {
		w := math.Exp(l - maximum)
		weight += w
		sum += w * (float64(i)*stepS - expectedS)
	}
	return sum / weight
}
