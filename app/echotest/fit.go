package echotest

import "math"

// fit is the echo that explains the stack best.
type fit struct {
	offsetHz, spreadHz float64
	strength           float64 // power over the noise in one bin of 1/tone
}

// The spread is looked for from 2^-1.5 to 2^1.5 of the one expected, in quarter octaves,
// with the ephemeris' figure being good to about half an octave.
const (
	maxStretch    = 2.83
	stretchSteps  = 6
	stretchOctave = 0.25
	stretchSigma  = 0.6
)

// fitOf looks around the place found for the offset, spread and strength of greatest likelihood. gain is how much of
// an echo each bin of the stack shows; nil: all.
func fitOf(stack, gain []float64, f frame, p Plan, shape *profile, bin, cycles int) fit {
	spread := max(p.SpreadHz, 0.5/f.toneS)
	reach := int(math.Ceil((spread*maxStretch/2 + max(4, 0.2*spread) + 3/f.toneS) / f.binHz))
	first, last := max(0, bin-reach), min(len(stack)-1, bin+reach)
	window := stack[first : last+1]
	step := max(f.binHz/4, spread/60)
	aside := int(math.Ceil(max(2/f.toneS, 0.2*spread) / step))
	cost := func(kernel fineKernel, offset, stretch int) (float64, float64) {
		at := float64(bin-first) + float64(offset)*step/f.binHz
		weights := weightsAt(kernel, at, len(window))
		for i := range weights {
			if gain != nil {
				weights[i] *= gain[first+i]
			}
		}
		strength := strengthOf(window, weights)
		prior := float64(stretch) * stretchOctave / stretchSigma
		return unlikely(window, weights, strength, float64(cycles)/float64(f.padded/f.samples)) + prior*prior/2,
			strength
	}
	costs := map[[2]int]float64{}
	minimum, strength, at := math.Inf(1), 0.0, [2]int{}
	for stretch := -stretchSteps; stretch <= stretchSteps; stretch++ {
		kernel := shape.fine(spread*math.Exp2(float64(stretch)*stretchOctave), f.toneS, f.binHz)
		for offset := -aside; offset <= aside; offset++ {
			c, a := cost(kernel, offset, stretch)
			costs[[2]int{offset, stretch}] = c
			if c < minimum {
				minimum, strength, at = c, a, [2]int{offset, stretch}
			}
		}
	}
	near := func(offset, stretch int) float64 {
		if c, has := costs[[2]int{offset, stretch}]; has {
			return c
		}
		return math.Inf(1)
	}
	o, s := at[0], at[1]
	return fit{
		offsetHz: float64(bin-f.reach)*f.binHz + (float64(o)+vertex(near(o-1, s), minimum, near(o+1, s)))*step,
		spreadHz: spread * math.Exp2((float64(s)+vertex(near(o, s-1), minimum, near(o, s+1)))*stretchOctave),
		strength: strength * float64(f.samples) / float64(f.padded),
	}
}

// vertex is where the parabola through three costs a step apart is least, from the middle one.
func vertex(before, middle, after float64) float64 {
	d := before - 2*middle + after
	if math.IsInf(d, 0) || d <= 0 {
		return 0
	}
	return max(-0.5, min(0.5, (before-after)/2/d))
}

// weightsAt is the kernel of a spread centred at a fractional bin, over a window; its sum
// is 1 but for what lies beyond the window.
func weightsAt(fine fineKernel, at float64, n int) []float64 {
	whole := math.Round(at)
	kernel := fine.at(at - whole)
	weights := make([]float64, n)
	half := len(kernel) / 2
	for k, w := range kernel {
		if bin := int(whole) + k - half; bin >= 0 && bin < n {
			weights[bin] = w
		}
	}
	return weights
}

// strengthOf fits stack = 1 + strength*weight, each bin weighed by its own scatter.
func strengthOf(stack, weights []float64) float64 {
	strength, ok := signedStrength(stack, weights)
	if !ok {
		return 1e-6
	}
	return max(1e-6, strength)
}

// signedStrength is the same, and below 0 where noise happens to be lower there; ok is false where every bin is
// masked.
func signedStrength(stack, weights []float64) (strength float64, ok bool) {
	for range 4 {
		up, down := 0.0, 0.0
		for i, w := range weights {
			if w == 0 || math.IsNaN(stack[i]) {
				continue
			}
			m := 1 + max(1e-6, strength)*w
			up += w * (stack[i] - 1) / (m * m)
			down += w * w / (m * m)
		}
		if down == 0 {
			return 0, false
		}
		strength = up / down
	}
	return strength, true
}

// unlikely is minus the logarithm of the likelihood of a mean of cycles' exponentials.
func unlikely(stack, weights []float64, strength, cycles float64) float64 {
	sum := 0.0
	for i, w := range weights {
		if !math.IsNaN(stack[i]) {
			m := 1 + strength*w
			sum += math.Log(m) + stack[i]/m
		}
	}
	return cycles * sum
}

// variance is that of a strength of c Hz over the noise in 1 Hz, times the seconds gathered; width is the echo's
// noise width. Its first term is the echo's own fading, which no power removes.
func variance(c, width float64) float64 { return c*c/width + 2*c + width }

// errorsOf are the standard errors of strength and offset; the offset's is by the noise width over the root of what
// was gathered. Both from the statistics of exponentials.
func errorsOf(x fit, f frame, shape *profile, cycles int) (strengthDB, offsetHz float64) {
	width := noiseWidth(shape.kernel(x.spreadHz, f.toneS, f.binHz)) * f.binHz
	c := x.strength / f.toneS
	all := float64(cycles) * f.toneS
	share := math.Sqrt(variance(c, width)/all) / c
	return 10 / math.Ln10 * share, max(0.05/f.toneS, 0.45*width*share)
}
