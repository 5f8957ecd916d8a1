package echotest

import (
	"math"
	"slices"
)

// Another station's echoes, whose tone stays at one audio frequency, lie under the own ones and would be counted
// with them. They are told apart because the own tone moves from cycle to cycle, and by their place.
const (
	refineRounds = 3
	otherChance  = 0.01 // that noise passes for another station's echo
	minLeft      = 0.02 // of what tells of it, beyond what the own echo explains: less cannot be told apart
	otherShare   = 0.1  // of the own strength: less is not worth the risk of taking the own echo's edges for it
	// farBeyond is how many times what is expected is no echo: an exponential goes so far once in 22,000 values.
	farBeyond = 10.0
	// enoughCycles is from how many on the middle value is a good mean.
	enoughCycles = 5
)

// another is the echo of another station: its strength in bins, in the echo's window and in the quiet time, and where
// its middle lies.
type another struct {
	strength, quiet float64
	bin             int // of audio
	kernel          []float64
}

// share is that of its power in a bin of audio.
func (a *another) share(bin int) float64 {
	if k := bin - a.bin + len(a.kernel)/2; k >= 0 && k < len(a.kernel) {
		return a.kernel[k]
	}
	return 0
}

// at is its power over the noise in a bin of audio.
func (a *another) at(bin int) float64 { return a.strength * a.share(bin) }

// takeOff takes its power as noise: noise with it has the mean 1.
func (a *another) takeOff(list []spectrum, f frame) {
	for k := range list {
		for bin := range list[k].power {
			list[k].power[bin] /= 1 + a.at(list[k].audioBin(f, bin))
		}
	}
}

// takeOffQuiet does so in the quiet time, whose power it copies.
func (a *another) takeOffQuiet(list []spectrum, f frame) {
	for k := range list {
		list[k].quiet = slices.Clone(list[k].quiet)
		for bin := range list[k].quiet {
			list[k].quiet[bin] /= 1 + a.quiet*a.share(list[k].audioBin(f, bin))
		}
	}
}

// copied are spectra with room for power of their own.
func copied(list []spectrum) []spectrum {
	to := slices.Clone(list)
	for k := range to {
		to[k].power = make([]float64, len(to[k].power))
	}
	return to
}

// audioBin is the bin of audio in which a spectrum's bin lies.
func (s *spectrum) audioBin(f frame, bin int) int {
	return int(math.Round(s.midHz/f.binHz)) + bin - f.reach
}

// refined fits the own echo again without what is far beyond it: passing carriers and crashes, which the
// search only dampens, and another station's echoes, whose power is taken as noise. rest is what remains,
// other the other station's echo, of strength 0 where there is none.
func refined(list []spectrum, f frame, p Plan, shape *profile, best place) (own fit, rest []spectrum, other another) {
	mean := limitedMean
	if len(list) >= enoughCycles {
		mean = medianOver
	}
	own = fitOf(stacked(list, f, best.drift, f.reach, mean), nil, f, p, shape, best.bin, len(list))
	other = another{kernel: shape.kernel(p.SpreadHz, f.toneS, f.binHz)}
	shifts := shiftsOf(list, f, best.drift, middleOf(list))
	rest = copied(list)
	for range refineRounds {
		model := own.model(f, shape)
		kept(rest, list, f, &other, model, shifts)
		if moves(list, f) {
			other.find(rest, f, model, shifts)
			kept(rest, list, f, &other, model, shifts)
		}
		other.takeOff(rest, f)
		own = other.fitBeside(rest, f, p, shape, best)
	}
	other.takeOffQuiet(rest, f)
	return own, rest, other
}

// fitBeside fits the own echo to what is left where this one's power is taken off.
func (a *another) fitBeside(rest []spectrum, f frame, p Plan, shape *profile, best place) fit {
	gain, shifts := make([]float64, 2*f.reach+1), shiftsOf(rest, f, best.drift, middleOf(rest))
	for k := range rest {
		for i := range gain {
			gain[i] += 1 / (1 + a.at(rest[k].audioBin(f, i+shifts[k]))) / float64(len(rest))
		}
	}
	return fitOf(stacked(rest, f, best.drift, f.reach, keptMean), gain, f, p, shape, best.bin, len(rest))
}

// kept copies the power that is not far beyond what is expected; NaN for the rest.
func kept(to, list []spectrum, f frame, other *another, own []float64, shifts []int) {
	for k, s := range list {
		for bin, v := range s.power {
			m := 1 + other.at(s.audioBin(f, bin))
			if i := bin - shifts[k]; i >= 0 && i < len(own) {
				m += own[i]
			}
			if !(v <= farBeyond*m) {
				v = math.NaN()
			}
			to[k].power[bin] = v
		}
	}
}

// medianOver is the upper median over what exponentials of mean 1 give of it. It reorders its argument.
func medianOver(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	return values[n/2] / noiseMedian(n)
}

// medianOverOne reports whether that is over 1, without ordering anything.
func medianOverOne(values []float64) bool {
	noise, over := noiseMedian(len(values)), 0
	for _, v := range values {
		if v > noise {
			over++
		}
	}
	return over >= len(values)-len(values)/2
}

// noiseMedian is the mean of the upper median of n exponentials of mean 1.
func noiseMedian(n int) (mean float64) {
	for i := range n/2 + 1 {
		mean += 1 / float64(n-i)
	}
	return mean
}

// keptMean is the mean over what remains of exponentials of mean 1 when those far beyond are left out.
func keptMean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values)) / (1 - farBeyond/(math.Exp(farBeyond)-1))
}

// model is the echo's power over the noise in each bin of a stack.
func (x fit) model(f frame, shape *profile) []float64 {
	at := float64(f.reach) + x.offsetHz/f.binHz
	model := weightsAt(shape.fine(x.spreadHz, f.toneS, f.binHz), at, 2*f.reach+1)
	for i := range model {
		model[i] *= x.strength * float64(f.padded) / float64(f.samples)
	}
	return model
}

// sums are those of the equations of both strengths, each bin weighed by its own scatter.
type sums struct {
	first int // bin of audio of the first
	// by bin of audio: of 1, of the power over the noise, of the own echo's model
	weight, excess, own          []float64
	ownOwn, ownExcess, ownStrong float64 // over all: the model's square, its product with the excess, its strength
}

func (a *another) sums(list []spectrum, f frame, own []float64, shifts []int) (t sums) {
	last := math.MinInt
	t.first = math.MaxInt
	for _, s := range list {
		t.first, last = min(t.first, s.audioBin(f, 0)), max(last, s.audioBin(f, len(s.power)-1))
	}
	n := last - t.first + 1
	t.weight, t.excess, t.own = make([]float64, n), make([]float64, n), make([]float64, n)
	for k, s := range list {
		for bin, v := range s.power {
			if math.IsNaN(v) {
				continue
			}
			mine := 0.0
			if i := bin - shifts[k]; i >= 0 && i < len(own) {
				mine = own[i]
			}
			at := s.audioBin(f, bin)
			m := 1 + mine + a.at(at)
			w, over := 1/(m*m), v-1
			t.weight[at-t.first] += w
			t.excess[at-t.first] += w * over
			t.own[at-t.first] += w * mine
			t.ownOwn += w * mine * mine
			t.ownExcess += w * mine * over
		}
	}
	for _, v := range own {
		t.ownStrong += v
	}
	return t
}

// quietSums are those of the quiet time, in which there is no own echo. Its bins are not independent: each weighs so
// much less.
func (a *another) quietSums(list []spectrum, f frame, t *sums) (weight, excess []float64) {
	weight, excess = make([]float64, len(t.weight)), make([]float64, len(t.weight))
	for _, s := range list {
		independent := s.quietS / f.toneS * float64(f.samples) / float64(f.padded)
		for bin, v := range s.quiet {
			if !(v <= farBeyond*(1+a.quiet*a.share(s.audioBin(f, bin)))) {
				continue
			}
			at := s.audioBin(f, bin) - t.first
			weight[at] += independent
			excess[at] += independent * (v - 1)
		}
	}
	return weight, excess
}

// find solves for the strengths of both echoes at every place of the other's, by least squares, and takes the most
// certain place; what is there in the quiet time tells of it too. Its strength is 0 where none is certain.
func (a *another) find(list []spectrum, f frame, own []float64, shifts []int) {
	t := a.sums(list, f, own, shifts)
	quietWeight, quietExcess := a.quietSums(list, f, &t)
	a.strength, a.quiet = 0, 0
	if t.ownOwn == 0 {
		return
	}
	places := float64(len(t.weight)) / noiseWidth(a.kernel)
	certain := math.Sqrt(2 * math.Log(max(2, places/otherChance))) // the tail of a normal deviate
	maximum := certain
	half := len(a.kernel) / 2
	independent := float64(f.samples) / float64(f.padded)
	values := float64(len(list)) * noiseWidth(a.kernel) * independent
	for middle := half; middle+half < len(t.weight); middle++ {
		var both, square, sum, quietSquare, quietSum float64
		for k, w := range a.kernel {
			i := middle - half + k
			both += w * t.own[i]
			square += w * w * t.weight[i]
			sum += w * t.excess[i]
			quietSquare += w * w * quietWeight[i]
			quietSum += w * quietExcess[i]
		}
		left := square - both*both/t.ownOwn
		if left <= minLeft*square {
			continue
		}
		strength := (sum - both*t.ownExcess/t.ownOwn) / left
		quietly := 0.0
		if quietSum > 0 {
			// The quiet time is shorter, and not every cycle has it: its sum has fewer values.
			fewer := quietSquare * noiseWidth(a.kernel) * noiseWidth(a.kernel)
			quietly = asNormal(quietSum/math.Sqrt(quietSquare), fewer)
		}
		if strength <= 0 || strength <= otherShare*t.ownStrong && quietly < certain {
			continue
		}
		sigmas := math.Hypot(asNormal(strength*math.Sqrt(left*independent), values), quietly)
		if sigmas > maximum {
			maximum, a.strength, a.bin, a.quiet = sigmas, strength, t.first+middle, 0
			if quietSum > 0 {
				a.quiet = quietSum / quietSquare
			}
		}
	}
}

// asNormal is the normal deviate that is as rare as a mean of so many exponentials so many of its standard deviations
// over its expectation: their cube root is nearly normal (Wilson and Hilferty 1931).
func asNormal(sigmas, values float64) float64 {
	return 3 * math.Sqrt(values) * (math.Cbrt(1+sigmas/math.Sqrt(values)) - 1 + 1/(9*values))
}
