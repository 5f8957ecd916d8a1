package echotest

import (
	"math"
	"slices"
)

// chance is what noise alone does: how likely the greatest smoothed value within the
// search range passes a level.
type chance struct {
	greatest []float64 // of each draw, rising
	tail     float64   // mean excess over the level that one draw in ten passes
	tries    float64   // how many independent looks the drifts amount to
}

const (
	draws = 1500
	// How many independent looks the drifts amount to: one and a little, for the greatest is taken, and more for
	// each noise width by which they move the first and the last cycle against each other. Measured in noise.
	oneLook, looksPerWidth = 1.3, 3.1
)

// chanceOf draws noise: exponentials for each cycle and bin, stacked and smoothed as the recording is.
func chanceOf(list []spectrum, kernel []float64, f frame, p Plan) chance {
	places := 2*int(p.SearchHz/f.binHz) + 1
	r := random(1)
	stack := make([]float64, places+len(kernel)-1)
	draw := plainNoise
	if f.padded > f.samples {
		draw = paddedNoise
	}
	fill := draw(&r, len(list))
	widths := p.DriftLimitHzPerS * (list[len(list)-1].atS - list[0].atS) / (noiseWidth(kernel) * f.binHz)
	c := chance{greatest: make([]float64, draws), tries: oneLook + looksPerWidth*widths}
	floor := floorError(list)
	for d := range c.greatest {
		fill(stack)
		top := 0.0
		for i := range places {
			sum := 0.0
			for k, w := range kernel {
				sum += w * stack[i+k]
			}
			if sum > top {
				top = sum
			}
		}
		c.greatest[d] = top * (1 + floor*math.Sqrt2*real(r.complexNormal()))
	}
	slices.Sort(c.greatest)
	from := draws - draws/10
	for _, g := range c.greatest[from:] {
		c.tail += (g - c.greatest[from]) / float64(draws/10)
	}
	return c
}

// floorError is how well the noise of all cycles together is known, its standard error as a share.
func floorError(list []spectrum) float64 {
	square := 0.0
	for _, s := range list {
		square += s.floorError * s.floorError
	}
	return math.Sqrt(square) / float64(len(list))
}

// plainNoise returns what fills a stack of independent bins with means of noise:
// drawn once, then taken at random.
func plainNoise(r *random, cycles int) func(stack []float64) {
	pool := make([]float64, 1<<15)
	values := make([]float64, cycles)
	for i := range pool {
		for k := range values {
			values[k] = r.exponential()
		}
		pool[i] = limitedMean(values)
	}
	return func(stack []float64) {
		for i := range stack {
			stack[i] = pool[r.next()>>(64-15)]
		}
	}
}

const taps = 6

// halfBin is the response half a bin away of the bins from taps-1 below to taps above, for
// a rectangular window about its middle.
var halfBin = func() (response [2 * taps]float64) {
	for k := range response {
		response[k] = sinc(float64(k-taps+1) - 0.5)
	}
	return response
}()

// stripBins is how many bins of padded noise are drawn, from which every cycle takes a piece.
const stripBins = 1 << 18

// paddedNoise returns what fills a stack of bins of half the width: every second one is
// interpolated between the amplitudes of its neighbours, as padding with zeros does.
func paddedNoise(r *random, cycles int) func(stack []float64) {
	strip := paddedStrip(r, stripBins)
	pieces := make([][]float64, cycles)
	values := make([]float64, cycles)
	return func(stack []float64) {
		for k := range pieces {
			start := 2 * int(r.uniform()*float64((len(strip)-len(stack))/2))
			pieces[k] = strip[start : start+len(stack)]
		}
		clear(stack)
		top := make([]float64, len(stack))
		for _, piece := range pieces {
			for i, v := range piece {
				stack[i] += v
				if v > top[i] {
					top[i] = v
				}
			}
		}
		for i := range stack {
			if top[i] <= maxOverMean { // as it mostly is: a quick limitedMean
				stack[i] /= float64(cycles) * ofLimited
				continue
			}
			for k, piece := range pieces {
				values[k] = piece[i]
			}
			stack[i] = limitedMean(values)
		}
	}
}

// paddedStrip is the power of one long spectrum of noise in bins of half the width.
func paddedStrip(r *random, bins int) []float64 {
	amplitude := make([]complex128, bins/2+2*taps)
	for i := range amplitude {
		amplitude[i] = r.complexNormal()
	}
	power := make([]float64, bins)
	for i := range power {
		at := i/2 + taps
		a := amplitude[at]
		if i%2 == 1 {
			a = 0
			for k, response := range halfBin {
				b := amplitude[at+k-taps+1]
				a += complex(real(b)*response, imag(b)*response)
			}
		}
		power[i] = real(a)*real(a) + imag(a)*imag(a)
	}
	return power
}

// probability is how likely noise alone reaches a level, at most 1.
func (c chance) probability(level float64) float64 {
	from := draws - draws/10
	if level >= c.greatest[from] {
		if c.tail == 0 {
			return 0
		}
		return min(1, c.tries*0.1*math.Exp(-(level-c.greatest[from])/c.tail))
	}
	below, _ := slices.BinarySearch(c.greatest, level)
	return min(1, c.tries*float64(draws-below)/draws)
}

// random is a small generator (splitmix64, Steele, Lea and Flood 2014), so that the same
// recording always gets the same answer.
type random uint64

func (r *random) next() uint64 {
	*r += 0x9E3779B97F4A7C15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// uniform is above 0 and at most 1.
func (r *random) uniform() float64 { return float64(r.next()>>11+1) / (1 << 53) }

func (r *random) exponential() float64 { return -math.Log(r.uniform()) }

// complexNormal has the mean power 1.
func (r *random) complexNormal() complex128 {
	size, angle := math.Sqrt(r.exponential()), 2*math.Pi*r.uniform()
	return complex(size*math.Cos(angle), size*math.Sin(angle))
}
