package echotest

import "math"

// Lines that stay at one audio frequency are carriers from the surroundings, not echoes,
// whose tone moves from cycle to cycle.
const (
	lineOver  = 5.0 // times 1/sqrt(cycles) over the usual median
	skirtOver = 2.0 // the same for what hangs together with it
	lineAside = 6.0 // Hz over which the usual median is taken
	lineCover = 0.8 // share of the cycles that must have the frequency in view
)

// maskLines marks, in each cycle, the bins of lines that stay: power NaN.
func maskLines(list []spectrum, f frame) {
	if len(list) < 3 || !moves(list, f) {
		return
	}
	first, last := math.MaxInt, math.MinInt
	for _, s := range list {
		first, last = min(first, s.audioBin(f, 0)), max(last, s.audioBin(f, len(s.power)-1))
	}
	medians := make([]float64, last-first+1)
	var values []float64
	for i := range medians {
		values = values[:0]
		for _, s := range list {
			if bin := first + i - s.audioBin(f, 0); bin >= 0 && bin < len(s.power) && !math.IsNaN(s.power[bin]) {
				values = append(values, s.power[bin])
			}
		}
		medians[i] = math.NaN()
		if float64(len(values)) >= lineCover*float64(len(list)) {
			medians[i] = median(values)
		}
	}
	root := math.Sqrt(float64(len(list)))
	line := linesIn(medians, int(lineAside/f.binHz), lineOver/root, skirtOver/root)
	masked, quietly := make([]bool, len(line)), make([]bool, len(line))
	for i, is := range line {
		if is {
			aside := max(1, skirtOf(medians[i])) * f.padded / f.samples
			for k := max(0, i-aside); k <= min(len(line)-1, i+aside); k++ {
				masked[k] = true
			}
			for k := max(0, i-2*aside-2); k <= min(len(line)-1, i+2*aside+2); k++ {
				quietly[k] = true
			}
		}
	}
	for _, s := range list {
		for bin := range s.power {
			if masked[s.audioBin(f, bin)-first] {
				s.power[bin] = math.NaN()
			}
			if s.quiet != nil && quietly[s.audioBin(f, bin)-first] {
				s.quiet[bin] = math.NaN()
			}
		}
	}
}

// skirtOf is how many bins of 1/tone from a line of so much power over the noise its skirts are still a nuisance: a
// window without a taper has skirts of up to (pi d)^-2 at d bins, and twice that on average where the carrier comes
// or goes inside it.
func skirtOf(power float64) int {
	const nuisance = 0.2 // of the noise
	return int(math.Sqrt(2*power/nuisance) / math.Pi)
}

// linesIn reports the medians that stand out from those beside them, with their skirts.
func linesIn(medians []float64, aside int, over, skirt float64) []bool {
	line, near := make([]bool, len(medians)), make([]bool, len(medians))
	var beside []float64
	for i, m := range medians {
		beside = beside[:0]
		for k := max(0, i-aside); k <= min(len(medians)-1, i+aside); k++ {
			if !math.IsNaN(medians[k]) {
				beside = append(beside, medians[k])
			}
		}
		if math.IsNaN(m) || len(beside) == 0 {
			continue
		}
		usual := max(math.Ln2, median(beside))
		line[i], near[i] = m > usual*(1+over/math.Ln2), m > usual*(1+skirt/math.Ln2)
	}
	for i := 1; i < len(line); i++ {
		line[i] = line[i] || near[i] && line[i-1]
	}
	for i := len(line) - 2; i >= 0; i-- {
		line[i] = line[i] || near[i] && line[i+1]
	}
	return line
}

// moves reports whether the expected frequency changes enough from cycle to cycle that a
// line that stays can be told from an echo.
func moves(list []spectrum, f frame) bool {
	low, high := list[0].midHz, list[0].midHz
	for _, s := range list {
		low, high = min(low, s.midHz), max(high, s.midHz)
	}
	return high-low >= 4/f.toneS
}

// middleOf is the mean of the times of spectra.
func middleOf(list []spectrum) (middle float64) {
	for _, s := range list {
		middle += s.atS / float64(len(list))
	}
	return middle
}

// shiftsOf is how many bins a drift of the station's own frequency moves each cycle, from a time in seconds.
func shiftsOf(list []spectrum, f frame, driftHzPerS, middle float64) []int {
	shifts := make([]int, len(list))
	for k, s := range list {
		shifts[k] = int(math.Round(driftHzPerS * (s.atS - middle) / f.binHz))
	}
	return shifts
}

// stacked is the mean over cycles of the power in each bin, by a function that may reorder its argument;
// noise alone has the mean 1. NaN where every cycle is masked, and beyond reach bins from the middle.
func stacked(list []spectrum, f frame, driftHzPerS float64, reach int,
	meanOf func(values []float64) float64) []float64 {
	return stackedAbout(list, f, driftHzPerS, middleOf(list), reach, meanOf)
}

// stackedAbout stacks as if the station's own frequency were as expected at a time, s.
func stackedAbout(list []spectrum, f frame, driftHzPerS, middle float64, reach int,
	meanOf func(values []float64) float64) []float64 {
	shift := shiftsOf(list, f, driftHzPerS, middle)
	mean := make([]float64, 2*f.reach+1)
	values := make([]float64, 0, len(list))
	for i := range mean {
		values = values[:0]
		if i < f.reach-reach || i > f.reach+reach {
			mean[i] = math.NaN()
			continue
		}
		for k, s := range list {
			if bin := i + shift[k]; bin >= 0 && bin < len(s.power) && !math.IsNaN(s.power[bin]) {
				values = append(values, s.power[bin])
			}
		}
		mean[i] = meanOf(values)
	}
	return mean
}

// maxOverMean limits a value to so many times the mean that the median suggests: more is a crash, or a carrier that
// passes.
const maxOverMean = 5

// ofLimited is what is left of the mean of noise. It is limited at maxOverMean itself, an echo at a multiple of its own
// power. The scatter of the median lets more through, hence 0.8.
var ofLimited = 1 - 0.8*math.Exp(-maxOverMean)

// limitedMean is the mean over what exponentials of mean 1 give of it, of values that count up to a limit. It
// reorders its argument.
func limitedMean(values []float64) float64 {
	sum, top := 0.0, 0.0
	for _, v := range values {
		sum += v
		if v > top {
			top = v
		}
	}
	if top > maxOverMean {
		limit := float64(maxOverMean)
		if medianOverOne(values) {
			limit *= medianOver(values)
		}
		sum = 0
		for _, v := range values {
			sum += min(v, limit)
		}
	}
	return sum / (float64(len(values)) * ofLimited)
}

// smoothed is the sum of kernel and stack around each bin, over the weight that is not
// masked; NaN where more than half of it is.
func smoothed(stack, kernel []float64) []float64 {
	half := len(kernel) / 2
	out := make([]float64, len(stack))
	for i := range out {
		sum, weight := 0.0, 0.0
		for k, w := range kernel {
			if bin := i + k - half; bin >= 0 && bin < len(stack) && !math.IsNaN(stack[bin]) {
				sum += w * stack[bin]
				weight += w
			}
		}
		out[i] = math.NaN()
		if weight > 0.5 {
			out[i] = sum / weight
		}
	}
	return out
}
