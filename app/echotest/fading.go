package echotest

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Fading is what the Moon makes of a carrier: complex noise of mean power 1, n samples of it, spread over so many
// hertz limb to limb as its surface returns them. normal draws normal deviates of mean 0 and variance 1.
func Fading(normal func() float64, mhz, spreadHz, rateHz float64, n int) []complex128 {
	shape := newProfile(surface(mhz))
	whole := smoothLength(2*n) / 2 * 2 // longer, so that its end does not join its beginning
	line := make([]complex128, whole)
	sum := 0.0
	for i := range line {
		f := float64(i) * rateHz / float64(whole)
		if i > whole/2 {
			f -= rateHz
		}
		x := 0.0
		if f != 0 {
			x = f / max(spreadHz/2, rateHz/float64(whole))
		}
		if math.Abs(x) <= 1 {
			a := math.Sqrt(shape.at(x))
			line[i] = complex(a*normal(), a*normal())
			sum += 2 * a * a
		}
	}
	envelope := fourier.NewCmplxFFT(whole).Sequence(nil, line)[:n]
	for i := range envelope {
		envelope[i] /= complex(math.Sqrt(sum), 0)
	}
	return envelope
}

// Coherence is how an echo's fading at one moment resembles that some samples later, 1 at the same moment: the
// transform of the spectrum that the Moon gives it.
func Coherence(mhz, spreadHz, rateHz float64, n int) []float64 {
	shape := newProfile(surface(mhz))
	by := make([]float64, n)
	for lag := range by {
		sum, weight := 0.0, 0.0
		for i := -profileSteps; i <= profileSteps; i++ {
			x := float64(i) / profileSteps
			weight += shape.at(x)
			sum += shape.at(x) * math.Cos(math.Pi*x*spreadHz*float64(lag)/rateHz)
		}
		by[lag] = sum / weight
	}
	return by
}
