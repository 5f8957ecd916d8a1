package echotest

import (
	"math"
	"slices"
)

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
	masked := make([]bool, len(line))
	for i, is := range line {
		if is {
			aside := max(1, skirtOf(medians[i])) * f.padded / f.samples
			for k := max(0, i-aside); k <= min(len(line)-1, i+aside); k++ {
				masked[k] = true
			}
		}
	}
	for _, s := range list {
		for bin := range s.power {
			if masked[s.audioBin(f, bin)-first] {
				s.power[bin] = math.NaN()
			}
		}
	}
}

// skirtOf is how many bins of 1/tone from a line of so much power over the noise its skirts are still a nuisance: a
// window without a taper has skirts of up to (pi d)^-2 at d bins, and twice that on average where the carrier comes or
// goes inside it.
func skirtOf(power float64) int {
	const nuisance = 0.3 // of the noise
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
// noise alone has the mean 1. NaN where every cycle is masked.
func stacked(list []spectrum, f frame, driftHzPerS float64, meanOf func(values []float64) float64) []float64 {
	return stackedAbout(list, f, driftHzPerS, middleOf(list), meanOf)
}

// stackedAbout stacks as if the station's own frequency were as expected at a time, s.
func stackedAbout(list []spectrum, f frame, driftHzPerS, middle float64,
	meanOf func(values []float64) float64) []float64 {
	shift := shiftsOf(list, f, driftHzPerS, middle)
	mean := make([]float64, 2*f.reach+1)
	values := make([]float64, 0, len(list))
	for i := range mean {
		values = values[:0]
		for k, s := range list {
			if bin := i + shift[k]; bin >= 0 && bin < len(s.power) && !math.IsNaN(s.power[bin]) {
				values = append(values, s.power[bin])
			}
		}
		mean[i] = meanOf(values)
	}
	return mean
}

// minTrimmed is the fewest values from which the greatest tenth is left out.
const minTrimmed = 5

// trimmed takes means without the greatest tenth.
type trimmed struct {
	noise []float64 // what noise gives, by how many values; 0: not yet known
}

// mean is the mean of the lowest nine tenths over what exponential noise of mean 1
// gives. It reorders its argument.
func (t *trimmed) mean(values []float64) float64 {
	m := len(values)
	if m == 0 {
		return math.NaN()
	}
	drop := 0
	if m >= minTrimmed {
		drop = (m + 9) / 10
		greatestLast(values, drop)
	}
	sum := 0.0
	for _, v := range values[:m-drop] {
		sum += v
	}
	if m >= len(t.noise) {
		t.noise = append(t.noise, make([]float64, m+1-len(t.noise))...)
	}
	if t.noise[m] == 0 {
		t.noise[m] = float64(m-drop) * trimmedNoise(m, drop)
	}
	return sum / t.noise[m]
}

// greatestLast brings the n greatest values to the end.
func greatestLast(values []float64, n int) {
	const few = 12 // from which sorting all is as fast
	if n > few {
		slices.Sort(values)
		return
	}
	for end := len(values) - 1; n > 0; n-- {
		top := end
		for i, v := range values[:end] {
			if v > values[top] {
				top = i
			}
		}
		values[top], values[end] = values[end], values[top]
		end--
	}
}

// trimmedNoise is the mean of the lowest m-d of m exponentials of mean 1: order statistics
// of the exponential distribution, the i-th lowest having the mean H(m) - H(m-i).
func trimmedNoise(m, d int) float64 {
	if d == 0 {
		return 1
	}
	sum, order := 0.0, 0.0
	for i := 1; i <= m-d; i++ {
		order += 1 / float64(m-i+1)
		sum += order
	}
	return sum / float64(m-d)
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

// A carrier that walks through a wide echo is a few bins that stand far out in one cycle.
const (
	wideHz      = 40   // spread from which the echo itself has no such bins
	carrierOver = 11.0 // times the local mean: noise does so once in 60,000 bins
)

// maskCarriers marks the bins of carriers in each cycle of a wide echo.
func maskCarriers(list []spectrum, f frame, spreadHz float64) {
	if spreadHz < wideHz {
		return
	}
	aside := int(spreadHz / 8 / f.binHz)
	var beside []float64
	for _, s := range list {
		carrier, skirt := make([]bool, len(s.power)), make([]int, len(s.power))
		for i, p := range s.power {
			if !(p > carrierOver) {
				continue
			}
			beside = append(beside[:0], s.power[max(0, i-aside):min(len(s.power), i+aside+1)]...)
			usual := max(1, median(beside)/math.Ln2)
			carrier[i], skirt[i] = p > carrierOver*usual, max(2, skirtOf(p/usual))
		}
		for i, is := range carrier {
			for k := max(0, i-skirt[i]); is && k <= min(len(carrier)-1, i+skirt[i]); k++ {
				s.power[k] = math.NaN()
			}
		}
	}
}
