package echotest

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Recording is audio of one channel. Its level does not matter.
type Recording struct {
	Samples []float64
	RateHz  float64
}

// spectrum is the power of one cycle's echo window by frequency, each bin over the noise
// expected there, so that noise alone has the mean 1. Bin i lies (i-reach)*binHz beyond
// the frequency expected for the echo.
type spectrum struct {
	power []float64
	// midHz is the audio frequency of the middle bin, atS the middle of the window.
	midHz, atS float64
	cycle      int // of the plan
	// floorError is how well the noise is known, its standard error as a share: it raises or lowers all bins alike.
	floorError float64
	// quiet is the same of the time after the echo, in which there is none; nil where there is too little of it.
	quiet  []float64
	quietS float64 // how long that time is
	tracks []track // carriers in the cycle
}

// frame is what all spectra of a recording share.
type frame struct {
	samples int // of a window
	padded  int // length of the transform
	binHz   float64
	toneS   float64
	reach   int // bins kept on either side of the expected frequency
}

// narrowHz is the spread under which bins of half the width tell more of an echo.
const narrowHz = 8

// frameOf fits the windows of all cycles: as long as the shortest tone, and of a length
// that the transform likes. A narrow echo gets bins of half the width.
func frameOf(p Plan, rateHz float64) frame {
	tone := p.Cycles[0].ToneS
	for _, c := range p.Cycles {
		tone = min(tone, c.ToneS)
	}
	n := smoothLength(int(tone * rateHz))
	f := frame{samples: n, padded: n, toneS: float64(n) / rateHz}
	if p.SpreadHz < narrowHz {
		f.padded = 2 * n
	}
	f.binHz = rateHz / float64(f.padded)
	span := p.Cycles[len(p.Cycles)-1].EchoStartS - p.Cycles[0].EchoStartS
	widest := p.SpreadHz*maxStretch + 6/f.toneS
	f.reach = int(math.Ceil((p.SearchHz + 2*widest + p.DriftLimitHzPerS*math.Abs(span)/2) / f.binHz))
	f.reach = min(f.reach, f.padded/2-1)
	return f
}

// smoothLength is the greatest number up to n without a prime factor above 5.
func smoothLength(n int) int {
	for ; n > 1; n-- {
		m := n
		for _, p := range [...]int{2, 3, 5} {
			for m%p == 0 {
				m /= p
			}
		}
		if m == 1 {
			break
		}
	}
	return n
}

// hearing takes windows of a recording.
type hearing struct {
	r           Recording
	p           Plan
	f           frame
	fft         *fourier.CmplxFFT
	mixed, line []complex128
}

// spectra are the cycles' spectra, and which cycles lie in the recording.
func spectra(r Recording, p Plan, f frame) (list []spectrum) {
	h := hearing{r, p, f, fourier.NewCmplxFFT(f.padded), make([]complex128, f.padded), make([]complex128, f.padded)}
	quiet := quietSamples(r, p, f)
	find := newTracker(h, quiet)
	for number, c := range p.Cycles {
		first := int(math.Round(c.EchoStartS * r.RateHz))
		if first < 0 || first+f.samples > len(r.Samples) {
			continue
		}
		s := spectrum{midHz: c.EchoMidHz, atS: c.EchoStartS + f.toneS/2, cycle: number}
		if s.power, s.floorError = h.power(c, 0, f.samples); s.power == nil {
			continue
		}
		after := f.samples + int(quietAfterS*r.RateHz)
		if quiet > 0 && first+after+quiet <= len(r.Samples) {
			s.quiet, _ = h.power(c, after, quiet)
			s.quietS = float64(quiet) / r.RateHz
		}
		if find != nil {
			s.tracks = find.in(h, c)
		}
		list = append(list, s)
	}
	return list
}

// mix takes a window that begins so many samples after a cycle's echo, levelled, down to the frequency expected. It
// says which share of it could be used.
func (h *hearing) mix(to []complex128, c Cycle, begin, samples int) (used float64) {
	first := int(math.Round(c.EchoStartS*h.r.RateHz)) + begin
	level, used := levelled(h.r.Samples[first:first+samples], h.r.RateHz)
	clear(to)
	for i, x := range level {
		at := (float64(begin+i)+0.5)/h.r.RateHz - h.f.toneS/2
		sin, cos := math.Sincos(-2*math.Pi*c.EchoMidHz*at - math.Pi*c.DriftHzPerS*at*at)
		to[i] = complex(x*cos, x*sin)
	}
	return used
}

// power is that of a window over its own noise, with the standard error of that; nil where too little of it can be
// used.
func (h *hearing) power(c Cycle, begin, samples int) (power []float64, floorError float64) {
	if h.mix(h.mixed, c, begin, samples) < 0.5 {
		return nil, 0
	}
	h.fft.Coefficients(h.line, h.mixed)
	return overFloor(h.line, h.f, h.p, c.EchoMidHz, h.r.RateHz)
}

// Blocks of this length carry one level; those far above or below the usual are left out.
const (
	blockS     = 0.05
	crashPower = 4
	gapPower   = 0.02
)

// levelled evens out the level of a window, so that automatic gain and crashes weigh
// little: crashes and gaps become zero. used is the share that is left.
func levelled(window []float64, rateHz float64) (level []float64, used float64) {
	block := max(1, int(blockS*rateHz))
	var powers []float64
	for from := 0; from < len(window); from += block {
		to := min(from+block, len(window))
		sum := 0.0
		for _, x := range window[from:to] {
			sum += x * x
		}
		powers = append(powers, sum/float64(to-from))
	}
	usual := median(slices.Clone(powers))
	level = make([]float64, len(window))
	if usual == 0 || math.IsNaN(usual) {
		return level, 0
	}
	kept := func(i int) bool { return powers[i] <= crashPower*usual && powers[i] >= gapPower*usual }
	for i := range powers {
		if !kept(i) {
			continue
		}
		sum, n := 0.0, 0
		for k := max(0, i-2); k <= min(len(powers)-1, i+2); k++ {
			if kept(k) {
				sum += powers[k]
				n++
			}
		}
		scale := math.Sqrt(float64(n) / sum)
		for k := i * block; k < min((i+1)*block, len(window)); k++ {
			level[k] = window[k] * scale
		}
		used += 1 / float64(len(powers))
	}
	return level, used
}

// The floor is taken from pieces of this width, beyond the echo and inside what a voice
// receiver passes (common practice, no source).
const (
	pieceHz        = 25
	floorGapHz     = 30
	floorReachHz   = 400
	passLow        = 300
	passHigh       = 2700
	minFloorPieces = 6
)

// overFloor divides a window's power by its own noise floor: a straight line through the
// logarithms of the levels of pieces on both sides of the echo. power is nil where there are too few of them.
func overFloor(line []complex128, f frame, p Plan, midHz, rateHz float64) (power []float64, floorError float64) {
	at := func(bin int) float64 {
		c := line[(bin+len(line))%len(line)]
		return real(c)*real(c) + imag(c)*imag(c)
	}
	near := p.SpreadHz/2 + floorGapHz
	var offsets, levels, piece []float64
	variance := 0.0
	perPiece := int(pieceHz / f.binHz)
	high := min(passHigh, rateHz*0.45)
	for _, side := range [...]float64{-1, 1} {
		for start := near; start < near+floorReachHz; start += pieceHz {
			middle := side * (start + pieceHz/2)
			if midHz+middle < passLow || midHz+middle > high {
				continue
			}
			piece = piece[:0]
			first := int(math.Round((middle - pieceHz/2) / f.binHz))
			for i := range perPiece {
				piece = append(piece, at(first+i))
			}
			if level, v, ok := logLevel(piece); ok {
				offsets, levels = append(offsets, middle), append(levels, level)
				variance += v
			}
		}
	}
	if len(offsets) < minFloorPieces {
		return nil, 0
	}
	level, slope := straightLine(offsets, levels)
	power = make([]float64, 2*f.reach+1)
	for i := range power {
		bin := i - f.reach
		power[i] = at(bin) / math.Exp(level+slope*float64(bin)*f.binHz)
	}
	return power, math.Sqrt(variance) / float64(len(offsets))
}

// logLevel is the natural logarithm of the noise's level from the lowest three quarters of a piece: nearly as deaf to
// carriers as its median, with half the scatter. A wide echo lies so little over the noise that 1 % of the level is
// 0.15 dB of the echo: so the logarithm's own bias, half its variance, is taken off. It reorders its argument.
func logLevel(v []float64) (level, variance float64, ok bool) {
	m := len(v) - len(v)/4
	slices.Sort(v)
	var sum, noise, square float64
	for i, x := range v[:m] {
		sum += x
		w := float64(m-i) / float64(len(v)-i) // the share of the i-th spacing, an exponential, in the sum
		noise += w
		square += w * w
	}
	if !(sum > 0) {
		return 0, 0, false
	}
	variance = square / (noise * noise)
	return math.Log(sum/noise) + variance/2, variance, true
}

// straightLine fits y = level + slope*x by least squares, then again without the points
// that lie far off: a carrier in a piece, or the skirt of the receiver's filter.
func straightLine(x, y []float64) (level, slope float64) {
	keep := make([]bool, len(x))
	for i := range keep {
		keep[i] = true
	}
	for range 3 {
		var n, sx, sy, sxx, sxy float64
		for i := range x {
			if keep[i] {
				n++
				sx += x[i]
				sy += y[i]
				sxx += x[i] * x[i]
				sxy += x[i] * y[i]
			}
		}
		if d := n*sxx - sx*sx; d > 0 {
			slope = (n*sxy - sx*sy) / d
		}
		level = (sy - slope*sx) / n
		var off []float64
		for i := range x {
			// The logarithm of a level lies further below than above, its cube root as far on both sides (Wilson
			// and Hilferty 1931): else those left out would raise the line.
			off = append(off, math.Abs(3*math.Expm1((y[i]-level-slope*x[i])/3)))
		}
		limit := max(0.2, 3*median(slices.Clone(off)))
		left := 0
		for i := range off {
			keep[i] = off[i] <= limit
			if keep[i] {
				left++
			}
		}
		if left < minFloorPieces/2 {
			break
		}
	}
	return level, slope
}

// median reorders its argument. It is NaN of nothing.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}
