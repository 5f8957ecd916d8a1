package echotest

import (
	"fmt"
	"math"
	"slices"
)

// Result is what a recording holds. The figures are NaN where no echo was detected.
type Result struct {
	Detected bool
	// Cycles are those that could be used.
	Cycles int
	// NoiseProbability is how likely noise alone would look like this.
	NoiseProbability float64
	// CN0DBHz is the echo's whole power over the noise in 1 Hz, its standard error beside it. It is right on average
	// in decibels, over all fades.
	CN0DBHz, CN0ErrorDB float64
	// OffsetHz is how far the echo lies from the frequency expected, positive when higher.
	OffsetHz, OffsetErrorHz float64
	// SpreadHz is the Doppler spread, limb to limb.
	SpreadHz float64
	// DelayErrorMS is how much later the echo comes than expected, as far as the recording tells: the time expected is
	// trusted to 20 ms, and an echo that tells little of it is on time.
	DelayErrorMS float64
}

// falseAlarms is how often a recording of noise may pass for an echo. Who looks at one recording several times must ask
// for less of NoiseProbability.
const falseAlarms = 3e-3

// removalPenalty: after another station's echo is removed, noise passes this many times more often, because that
// echo's strength is not known well.
const removalPenalty = 30

// The drifts of the station's own frequency that are tried lie so far apart, in noise widths of the echo at the
// first and the last cycle; there are no more than so many either way.
const (
	driftStep = 0.25
	maxDrifts = 20
)

// Detect looks for the echoes of a plan in a recording. Its error says what keeps it from looking.
func Detect(r Recording, p Plan) (Result, error) {
	if err := p.checked(r); err != nil {
		return Result{}, err
	}
	return lookFor(r, p).Result, nil
}

// checked says what keeps a plan from being looked for in a recording.
func (p Plan) checked(r Recording) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if !within(r.RateHz, 6000, 400000) {
		return fmt.Errorf("the sample rate is %g Hz: from 6000 to 400000", r.RateHz)
	}
	return nil
}

// detected is a result, and what it was found with.
type detected struct {
	Result
	f       frame
	list    []spectrum
	best    place
	fit     fit
	profile *profile
}

func lookFor(r Recording, p Plan) detected {
	f := frameOf(p, r.RateHz)
	d := lookIn(spectra(r, p, f), f, p)
	if d.Detected {
		d.DelayErrorMS = delayOf(r, p, f, d.fit) * 1000
	}
	return d
}

// lookIn looks for the echoes in the spectra of their cycles, all but their delay.
func lookIn(list []spectrum, f frame, p Plan) detected {
	none := Result{
		Cycles: len(list), NoiseProbability: 1, CN0DBHz: math.NaN(), CN0ErrorDB: math.NaN(),
		OffsetHz: math.NaN(), OffsetErrorHz: math.NaN(), SpreadHz: math.NaN(), DelayErrorMS: math.NaN(),
	}
	if len(list) == 0 {
		return detected{Result: none}
	}
	maskLines(list, f)
	for i := range list {
		list[i].maskTracks(f)
	}
	shape := newProfile(surface(bandOf(p)))
	kernel := likeliest(shape.kernel(p.SpreadHz, f.toneS, f.binHz), f, len(list))
	chance := chanceOf(list, kernel, f, p)
	best, own, probability := ownIn(list, f, p, shape, kernel, chance)
	none.NoiseProbability = probability
	if probability > falseAlarms {
		return detected{Result: none}
	}
	found := none
	found.Detected = true
	found.OffsetHz, found.SpreadHz = own.offsetHz, own.spreadHz
	found.CN0DBHz, found.CN0ErrorDB, found.OffsetErrorHz = own.inDecibels(f, shape, len(list), floorError(list))
	return detected{Result: found, f: f, list: list, best: best, fit: own, profile: shape}
}

// ownIn is where the own echo is, what fits it, and how likely noise alone would look like it; the fit means
// nothing where noise is likely.
func ownIn(list []spectrum, f frame, p Plan, shape *profile, kernel []float64, c chance) (best place, own fit,
	probability float64) {
	best, probability, denied := lasting(list, f, p, kernel, c)
	switch {
	case probability <= falseAlarms:
		x, rest, other := refined(list, f, p, shape, best)
		own = x
		if other.strength > 0 {
			// What led here may have been the other station's echo alone.
			_, probability, _ = lasting(rest, f, p, kernel, c)
		}
	case denied != nil:
		// Another station's echo may lie over the own one.
		_, rest, other := refined(list, f, p, shape, *denied)
		if other.strength == 0 {
			break
		}
		best, probability, _ = lasting(rest, f, p, kernel, c)
		if probability = min(1, removalPenalty*probability); probability <= falseAlarms {
			own = other.fitBeside(rest, f, p, shape, best)
		}
	}
	return best, own, probability
}

// likeliest are the weights, sum 1, by which an echo that is hardly found is told from noise best: the ratio of
// likelihoods weighs each bin by the share of echo in its power (standard detection theory, no source).
func likeliest(kernel []float64, f frame, cycles int) []float64 {
	const z = 6 // times the scatter of noise
	bins := float64(cycles) * float64(f.samples) / float64(f.padded)
	strength, sum := z*math.Sqrt(noiseWidth(kernel)/bins), 0.0
	weights := make([]float64, len(kernel))
	for i, w := range kernel {
		weights[i] = w / (1 + strength*w)
		sum += weights[i]
	}
	for i := range weights {
		weights[i] /= sum
	}
	return weights
}

func bandOf(p Plan) float64 {
	if p.MHz > 0 {
		return p.MHz
	}
	return likelyMHz(p.SpreadHz)
}

// place is the best place of a search.
type place struct {
	level, drift float64
	bin          int
}

// lasting is the best place whose power is there in most cycles, and how likely noise alone would look like it. A
// carrier that passes may hide an echo beside it: so a few places are tried. What is in the quiet time too is as wide
// as an echo: on its flanks there is none to be looked for.
func lasting(list []spectrum, f frame, p Plan, kernel []float64, c chance) (found place, probability float64,
	denied *place) {
	const places = 3
	var passing [][2]int
	carrier, whole := int(noiseWidth(kernel)/2+3/f.binHz), len(kernel)
	for range places {
		best := search(list, f, p, kernel, passing)
		if probability := c.probability(best.level); probability > falseAlarms {
			return best, probability, denied
		}
		aside := carrier
		if persistent(list, f, best, kernel) {
			if !isInQuietTime(list, f, best, kernel) {
				return best, c.probability(best.level), denied
			}
			aside = max(carrier, whole)
			if denied == nil {
				denied = &best
			}
		}
		passing = append(passing, [2]int{best.bin - aside, best.bin + aside})
	}
	return place{}, 1, denied
}

// search tries every drift and every frequency within the range, but for those from one bin to another.
func search(list []spectrum, f frame, p Plan, kernel []float64, without [][2]int) place {
	near := func(bin int) bool {
		return slices.ContainsFunc(without, func(i [2]int) bool { return bin >= i[0] && bin <= i[1] })
	}
	best := place{level: math.Inf(-1)}
	reach := min(f.reach, int(p.SearchHz/f.binHz))
	span := list[len(list)-1].atS - list[0].atS
	steps := int(math.Ceil(p.DriftLimitHzPerS * span / 2 / (driftStep * noiseWidth(kernel) * f.binHz)))
	steps = max(1, min(steps, maxDrifts))
	half := len(kernel) / 2
	for i := -steps; i <= steps; i++ {
		drift := p.DriftLimitHzPerS * float64(i) / float64(steps)
		level := smoothed(stacked(list, f, drift, reach+half, limitedMean), kernel)
		shifts := shiftsOf(list, f, drift, middleOf(list))
		for bin := f.reach - reach; bin <= f.reach+reach; bin++ {
			if !(level[bin] > best.level) || near(bin) {
				continue
			}
			if l := 1 + (level[bin]-1)/scatter(list, shifts, kernel, bin); l > best.level {
				best = place{l, drift, bin}
			}
		}
		if p.DriftLimitHzPerS == 0 {
			break
		}
	}
	return best
}

// scatter is how much more a smoothed value scatters than one of which nothing is masked: the ratio of their standard
// deviations.
func scatter(list []spectrum, shifts []int, kernel []float64, bin int) float64 {
	var square, weight, whole float64
	for k, w := range kernel {
		n := 0
		for i, s := range list {
			b := bin + k - len(kernel)/2 + shifts[i]
			if b >= 0 && b < len(s.power) && !math.IsNaN(s.power[b]) {
				n++
			}
		}
		whole += w * w / float64(len(list))
		if n > 0 {
			square, weight = square+w*w/float64(n), weight+w
		}
	}
	return math.Sqrt(square/whole) / weight
}

// persistent tells an echo, which is there in most cycles, from a carrier that passes
// through in a few: the median over cycles of the power in the core of the kernel.
func persistent(list []spectrum, f frame, best place, kernel []float64) bool {
	top, half := 0.0, len(kernel)/2
	for _, w := range kernel {
		top = max(top, w)
	}
	shifts := shiftsOf(list, f, best.drift, middleOf(list))
	var means []float64
	for i, s := range list {
		power, n := 0.0, 0
		for k, w := range kernel {
			bin := best.bin + k - half + shifts[i]
			if w >= top/2 && bin >= 0 && bin < len(s.power) && !math.IsNaN(s.power[bin]) {
				power += s.power[bin]
				n++
			}
		}
		if n > 0 {
			means = append(means, power/float64(n))
		}
	}
	if len(means) == 0 {
		return false
	}
	middle := median(means)
	const enough = 8          // with fewer, a carrier that passes in two of them would look like an echo
	if len(means) >= enough { // the greatest may be a crash, or a carrier in its way
		means = means[:len(means)-(len(means)+9)/10]
	}
	sum := 0.0
	for _, v := range means {
		sum += v
	}
	return middle > 1+0.35*(sum/float64(len(means))-1)
}
