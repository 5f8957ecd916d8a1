// Package spectrum turns samples of receiver audio into what is seen of them:
// a lower rate, power by frequency, and dB over the median noise. Pure.
package spectrum

import "math"

// Factor is by how much the rate is lowered, and Rate the lower one, Hz.
const (
	Factor = 4
	Rate   = 12000
)

// PassHz is up to where the lower rate is faithful: 0.01 dB; what was above
// Rate - PassHz appears below it at -80 dB or less.
const PassHz = 4000

// taps of the filter: with Kaiser's window and his formula (Kaiser 1974) enough for a
// transition of 4 kHz at 48 kHz and 80 dB, which would need 60.
const taps = 64

// DelaySamples is by how many samples of the lower rate the filter delays.
const DelaySamples = (taps - 1) / 2.0 / Factor

// Decimator lowers the rate of samples that come in blocks. Its zero is not ready; NewDecimator is.
type Decimator struct {
	weights [taps]float32
	last    [2 * taps]float32 // the newest samples, twice, so that they lie in a row
	at      int               // of the oldest
	phase   int
}

// NewDecimator returns one that has heard silence.
func NewDecimator() *Decimator {
	d := &Decimator{}
	const beta = 7.857 // of Kaiser's window, for 80 dB
	sum, exact := 0.0, [taps]float64{}
	for i := range exact {
		x := float64(i) - (taps-1)/2.0
		part := 2 * x / (taps - 1)
		exact[i] = sinc(x/Factor) * bessel0(beta*math.Sqrt(1-part*part))
		sum += exact[i]
	}
	for i, w := range exact {
		d.weights[i] = float32(w / sum)
	}
	return d
}

// sinc is sin(pi x)/(pi x).
func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// bessel0 is the modified Bessel function I0, by its series (Abramowitz and Stegun 9.6.12).
func bessel0(x float64) float64 {
	term, sum := 1.0, 1.0
	for k := 1.0; term > 1e-15*sum; k++ {
		term *= x * x / 4 / (k * k)
		sum += term
	}
	return sum
}

// Lower appends the samples of the lower rate to into.
func (d *Decimator) Lower(samples, into []float32) []float32 {
	for _, x := range samples {
		d.last[d.at], d.last[d.at+taps] = x, x
		if d.at++; d.at == taps {
			d.at = 0
		}
		if d.phase++; d.phase < Factor {
			continue
		}
		d.phase = 0
		var sum float32
		window := d.last[d.at : d.at+taps]
		for i, w := range d.weights {
			sum += w * window[i]
		}
		into = append(into, sum)
	}
	return into
}
