package spectrum

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

// Properties of the window used, Hann's (Harris 1978, Proceedings of the IEEE 66, 51, table I).
const (
	NoiseBins    = 1.5  // equivalent noise bandwidth, bins
	ScallopingDB = 1.42 // the most that a tone between two bins is short of one on a bin
)

// Power works out power by frequency. It is not for two goroutines at a time.
type Power struct {
	transform *fourier.FFT
	values    []float64
	weights   []float64
	lines     []complex128
	scale     float64
}

// NewPower returns one for pieces of so many samples, an even number.
func NewPower(length int) *Power {
	p := &Power{transform: fourier.NewFFT(length), values: make([]float64, length), weights: make([]float64, length),
		lines: make([]complex128, length/2+1)}
	ones := make([]float64, length+1)
	for i := range ones {
		ones[i] = 1
	}
	copy(p.weights, window.Hann(ones)) // without its last: the periodic form, whose zeros fall on bins
	sum := 0.0
	for _, w := range p.weights {
		sum += w
	}
	p.scale = 2 / (sum * sum)
	return p
}

// Length is how many samples a piece has.
func (p *Power) Length() int { return len(p.values) }

// Bins is how many bins Add writes: from 0 to half the rate, both included.
func (p *Power) Bins() int { return len(p.lines) }

// Add adds the mean square in each bin to into: a sine of amplitude a on a bin has a²/2.
func (p *Power) Add(samples []float32, into []float64) {
	for i, x := range samples[:len(p.values)] {
		p.values[i] = float64(x) * p.weights[i]
	}
	p.lines = p.transform.Coefficients(p.lines, p.values)
	for i, c := range p.lines {
		into[i] += (real(c)*real(c) + imag(c)*imag(c)) * p.scale
	}
}

// Floor is the mean noise of bins, each the mean of so many spectra, from their
// median: strong lines in less than half of them hardly move it. scratch is used, and returned for the next time.
//
// The median of a mean of m exponentials is about 1 - 1/(3m) + 8/(405m²) of their mean (Choi 1994,
// Proceedings of the AMS 121, 245; from memory). Spectra that overlap count for fewer, see Independent.
func Floor(power []float64, spectra float64, scratch []float64) (floor float64, again []float64) {
	if len(power) == 0 {
		return math.NaN(), scratch
	}
	scratch = append(scratch[:0], power...)
	n := len(scratch)
	median := ordered(scratch, n/2)
	if n%2 == 0 {
		median = (median + slices.Max(scratch[:n/2])) / 2
	}
	spectra = max(1, spectra)
	part := 1 - 1/(3*spectra) + 8/(405*spectra*spectra)
	return median / part, scratch
}

// ordered returns the value that would be at a place if values were sorted, and leaves none that is greater before it
// and none that is less behind it (Hoare 1961, Communications of the ACM 4, 321: Algorithm 65, find).
func ordered(values []float64, place int) float64 {
	for low, high := 0, len(values)-1; low < high; {
		pivot, i, j := values[place], low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for pivot < values[j] {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		if j < place {
			low = i
		}
		if place < i {
			high = j
		}
	}
	return values[place]
}

// Independent is for how many independent spectra so many count whose pieces begin hop
// samples apart (Welch 1967, IEEE Transactions on Audio and Electroacoustics 15, 70).
func (p *Power) Independent(pieces, hop int) float64 {
	squares := 0.0
	for _, w := range p.weights {
		squares += w * w
	}
	less := 1.0
	for j := 1; j < pieces && j*hop < len(p.weights); j++ {
		shared := 0.0
		for i := j * hop; i < len(p.weights); i++ {
			shared += p.weights[i] * p.weights[i-j*hop]
		}
		less += 2 * float64(pieces-j) / float64(pieces) * (shared / squares) * (shared / squares)
	}
	return float64(pieces) / less
}
