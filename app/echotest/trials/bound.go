package trials

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"

	"beamhelm/app/echotest"
)

// Of a tone, boundRate complex samples a second: more than the range searched, so that nothing folds into it.
const (
	boundRate    = 128.0
	boundSamples = int(boundRate * toneS)
	boundBins    = 2 * boundSamples
	boundBinHz   = boundRate / float64(boundBins)
	boundSearch  = 50   // Hz either way
	boundDrift   = 0.05 // Hz/s either way
	minMode      = 0.02
)

// Bound is the share of echoes that the best possible search finds, where so many recordings of noise in a thousand
// may be taken for one. It knows the echo's strength and its spread, and that nothing but noise is beside it; it
// doesn't know the fading, nor the frequency within 50 Hz, nor the drift within 0.05 Hz/s from cycle to cycle. By the
// lemma of Neyman and Pearson (1933, Phil. Trans. R. Soc. A 231) no other statistic finds more than the ratio of
// likelihoods, the mean over frequencies and drifts: that of one is the exponential of the sum over the modes of the
// echo's covariance, each weighed by its share of echo (standard detection theory, no source).
func Bound(r Chance, b Band, z float64, cycles, tries int, falseAlarms float64) float64 {
	modes := modesOf(b, math.Pow(10, b.CN0DBHz(z, cycles)/10))
	noise := make([]float64, tries)
	for i := range noise {
		noise[i] = likelihood(r, modes, cycles, false)
	}
	slices.Sort(noise)
	limit, found := noise[tries-1-int(falseAlarms*float64(tries))], 0
	for range tries {
		if likelihood(r, modes, cycles, true) > limit {
			found++
		}
	}
	return float64(found) / float64(tries)
}

// mode is one of the shapes by time into which an echo falls apart, each of which fades by itself; power is over the
// noise.
type mode struct {
	power float64
	shape []float64
}

// modesOf are those of an echo of so many hertz of C/N0.
func modesOf(b Band, cn0Hz float64) (modes []mode) {
	covariance := mat.NewSymDense(boundSamples, nil)
	by := echotest.Coherence(b.MHz, b.SpreadHz, boundRate, boundSamples)
	for i := range boundSamples {
		for k := i; k < boundSamples; k++ {
			covariance.SetSym(i, k, by[k-i]*cn0Hz/boundRate)
		}
	}
	var parts mat.EigenSym
	if !parts.Factorize(covariance, true) {
		return nil
	}
	var shapes mat.Dense
	parts.VectorsTo(&shapes)
	for i, power := range parts.Values(nil) {
		if power > minMode {
			modes = append(modes, mode{power, mat.Col(nil, i, &shapes)})
		}
	}
	return modes
}

// likelihood is the logarithm of the ratio of likelihoods, up to a constant, of so many cycles.
func likelihood(r Chance, modes []mode, cycles int, echo bool) float64 {
	logRatios := make([][]float64, cycles)
	for i := range logRatios {
		logRatios[i] = logRatio(r, modes, echo)
	}
	const steps = 20 // of drift, either way
	own := boundDrift * (2*r.Float64() - 1)
	reach := int(boundSearch / boundBinHz)
	var all []float64
	sum := make([]float64, 2*reach+1)
	for step := -steps; step <= steps; step++ {
		clear(sum)
		for k, logRatio := range logRatios {
			at := cycleS * (float64(k) - float64(cycles-1)/2)
			shift := int(math.Round((boundDrift*float64(step)/steps - own) * at / boundBinHz))
			for i := range sum {
				sum[i] += logRatio[(i-reach+shift+boundBins)%boundBins]
			}
		}
		all = append(all, sum...)
	}
	top, mean := slices.Max(all), 0.0
	for _, v := range all {
		mean += math.Exp(v-top) / float64(len(all))
	}
	return top + math.Log(mean)
}

// logRatio is the logarithm of the ratio of likelihoods of one cycle by frequency, in bins, up to a constant.
func logRatio(r Chance, modes []mode, echo bool) []float64 {
	normal := func(power float64) complex128 {
		return complex(r.NormFloat64(), r.NormFloat64()) * complex(math.Sqrt(power/2), 0)
	}
	fft := fourier.NewCmplxFFT(boundBins)
	window, line := make([]complex128, boundBins), make([]complex128, boundBins)
	heard, logRatio := make([]complex128, boundSamples), make([]float64, boundBins)
	for i := range heard {
		heard[i] = normal(1)
	}
	for _, m := range modes {
		if !echo {
			break
		}
		size := normal(m.power)
		for i, v := range m.shape {
			heard[i] += size * complex(v, 0)
		}
	}
	for _, m := range modes {
		for i, v := range m.shape {
			window[i] = heard[i] * complex(v, 0)
		}
		fft.Coefficients(line, window)
		for i, v := range line {
			logRatio[i] += m.power / (1 + m.power) * (real(v)*real(v) + imag(v)*imag(v))
		}
	}
	return logRatio
}
