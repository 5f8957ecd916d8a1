package echotest

import "math"

// fit is the echo that explains the stack best.
type fit struct {
	offsetHz, spreadHz float64
	strength           float64 // power over the noise in one bin of 1/tone
	bySpread           float64 // standard error of the strength, as a share, for want of knowing the spread
}

// The spread is looked for from 2^-1.5 to 2^1.5 of the one expected, in quarter octaves,
// with the ephemeris' figure being good to about half an octave.
const (
	maxStretch    = 2.83
	stretchSteps  = 6
	stretchOctave = 0.25
	stretchSigma  = 0.35
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
	ridge := make([]crest, 2*stretchSteps+1)
	for i := range ridge {
		kernel := shape.fine(spread*math.Exp2(float64(i-stretchSteps)*stretchOctave), f.toneS, f.binHz)
		costs := make([]float64, 2*aside+1)
		ridge[i].cost = math.Inf(1)
		at := 0
		for k := range costs {
			c, strength := cost(kernel, k-aside, i-stretchSteps)
			costs[k] = c
			if c < ridge[i].cost {
				ridge[i].cost, ridge[i].logStrength, at = c, math.Log(strength), k
			}
		}
		if at > 0 && at < 2*aside {
			ridge[i].offset = vertex(costs[at-1], costs[at], costs[at+1])
		}
		ridge[i].offset += float64(at - aside)
	}
	mean, stretch, scatter := meanOf(ridge)
	return fit{
		offsetHz: float64(bin-f.reach)*f.binHz + mean.offset*step,
		spreadHz: spread * math.Exp2((stretch-stretchSteps)*stretchOctave),
		strength: math.Exp(mean.logStrength) * float64(f.samples) / float64(f.padded),
		bySpread: scatter,
	}
}

// crest is the most likely echo of one spread.
type crest struct{ cost, offset, logStrength float64 }

// meanOf is the mean over spreads, each by its likelihood: what is least off on average where the recording says
// little about the spread. stretch is that spread's place among them, scatter the standard deviation of the strength's
// logarithm over them.
func meanOf(ridge []crest) (mean crest, stretch, scatter float64) {
	const fine = 8
	minimum := math.Inf(1)
	between := make([]crest, (len(ridge)-1)*fine+1)
	for i := range between {
		middle := max(1, min(len(ridge)-2, (i+fine/2)/fine))
		a, b, c := ridge[middle-1], ridge[middle], ridge[middle+1]
		x := float64(i)/fine - float64(middle)
		through := func(a, b, c float64) float64 { return b + x*(c-a)/2 + x*x*(a-2*b+c)/2 }
		between[i] = crest{through(a.cost, b.cost, c.cost), through(a.offset, b.offset, c.offset),
			through(a.logStrength, b.logStrength, c.logStrength)}
		minimum = min(minimum, between[i].cost)
	}
	sum, square := 0.0, 0.0
	for i, c := range between {
		w := math.Exp(minimum - c.cost)
		sum += w
		mean.offset += w * c.offset
		mean.logStrength += w * c.logStrength
		square += w * c.logStrength * c.logStrength
		stretch += w * float64(i) / fine
	}
	mean.offset /= sum
	mean.logStrength /= sum
	return mean, stretch / sum, math.Sqrt(max(0, square/sum-mean.logStrength*mean.logStrength))
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

// inDecibels is the strength of a fit as C/N0, dB-Hz, and the standard errors of strength and offset; the offset's is
// by the noise width over the root of what was gathered. Both from the statistics of exponentials; the strength's also
// from how well the noise is known, floor as a share, and the spread.
func (x fit) inDecibels(f frame, shape *profile, cycles int, floor float64) (cn0DBHz, errorDB, offsetErrorHz float64) {
	width := noiseWidth(shape.kernel(x.spreadHz, f.toneS, f.binHz)) * f.binHz
	c := x.strength / f.toneS
	all := float64(cycles) * f.toneS
	share := math.Sqrt(variance(c, width)/all) / c
	cn0DBHz = 10*math.Log10(c) + logarithmLow(10/math.Ln10*share)
	errorDB = 10 / math.Ln10 * math.Hypot(share, math.Hypot(floor*(1+width/c), x.bySpread))
	return cn0DBHz, errorDB, max(0.05/f.toneS, 0.45*width*share)
}

// logarithmLow is by how many decibels those of a figure with a standard error in decibels lie, on average, under
// the decibels of its mean: half the relative variance, by the second derivative of the logarithm.
func logarithmLow(errorDB float64) float64 {
	share := errorDB * math.Ln10 / 10
	return 10 / math.Ln10 * share * share / 2
}
