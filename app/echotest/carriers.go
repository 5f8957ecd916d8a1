package echotest

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A carrier that stays or walks is coherent through a cycle, which no echo is that the Moon spreads widely. It is
// looked for along straight lines of frequency by time: in the echo window together with the quiet time after it
// where the echo is wide, and in the quiet time alone where a narrow echo might pass for a carrier.
const (
	wideHz     = 20   // spread from which an echo is no carrier
	wideOver   = 16.0 // times the power beside it
	narrowOver = 9.0  // the same in the quiet time: noise does so here and there, and costs some bins of one cycle
	besideHz   = 6.0  // over which the usual power is taken
	steepest   = 2.0  // Hz/s, either way
	rateStep   = 1.5  // over the square of the window's length: a carrier between two steps loses 0.4 dB
	maxTracks  = 3    // a cycle
	coverHz    = 0.75 // on either side of a carrier
)

// track is a carrier's way through a cycle: its frequency from the one expected for the echo, at the middle of the
// echo window, its rate, and its power over the noise in 1 Hz.
type track struct{ hz, hzPerS, cn0 float64 }

// tracker looks for carriers in the band around the frequency expected.
type tracker struct {
	begin   int // samples from the echo's first to the window's
	lengthS float64
	startS  float64 // from the middle of the echo window to the window's first sample
	over    float64
	// The window, its band as fewer samples of noise power 1, along a rate, and the spectrum of that.
	long                             *fourier.CmplxFFT
	short                            *fourier.CmplxFFT
	fine                             *fourier.CmplxFFT
	window, band, straight, spectrum []complex128
	power                            []float64
}

// newTracker is nil where there is nothing to look into.
func newTracker(h hearing, quiet int) *tracker {
	if quiet == 0 {
		return nil
	}
	after := h.f.samples + int(quietAfterS*h.r.RateHz)
	t := &tracker{begin: after, over: narrowOver}
	n := quiet
	if h.p.SpreadHz >= wideHz {
		t.begin, t.over, n = 0, wideOver, after+quiet
	}
	n = smoothLength(n)
	t.lengthS = float64(n) / h.r.RateHz
	t.startS = float64(t.begin)/h.r.RateHz - h.f.toneS/2
	m := int(2 * (h.p.SearchHz + h.p.SpreadHz + 10) * t.lengthS)
	for m != smoothLength(m) {
		m++
	}
	m = min(m, n)
	t.long, t.short, t.fine = fourier.NewCmplxFFT(n), fourier.NewCmplxFFT(m), fourier.NewCmplxFFT(2*m)
	t.window, t.band = make([]complex128, n), make([]complex128, m)
	t.straight, t.spectrum, t.power = make([]complex128, 2*m), make([]complex128, 2*m), make([]float64, 2*m)
	return t
}

// in returns the carriers of a cycle, the strongest first.
func (t *tracker) in(h hearing, c Cycle) (tracks []track) {
	first := int(math.Round(c.EchoStartS*h.r.RateHz)) + t.begin
	if first+len(t.window) > len(h.r.Samples) {
		return nil
	}
	h.mix(t.window, c, t.begin, len(t.window))
	if !t.narrow() {
		return nil
	}
	step := rateStep / (t.lengthS * t.lengthS)
	steps := int(math.Ceil(steepest / step))
	for range maxTracks {
		best, at, rate := 0.0, 0, 0.0
		for s := -steps; s <= steps; s++ {
			t.along(float64(s) * step)
			if p, i := t.peak(); p > best {
				best, at, rate = p, i, float64(s)*step
			}
		}
		if best == 0 {
			break
		}
		hz := t.takeOff(at, rate)
		tracks = append(tracks, track{hz - rate*(t.startS+t.lengthS/2), rate, best / t.lengthS})
	}
	return tracks
}

// narrow takes the band out of the window, over its noise; false where there is none.
func (t *tracker) narrow() bool {
	t.long.Coefficients(t.window, t.window)
	n, m := len(t.window), len(t.band)
	level := make([]float64, 0, m)
	for i := -m / 2; i < m-m/2; i++ {
		v := t.window[(i+n)%n]
		t.band[(i+m)%m] = v
		level = append(level, real(v)*real(v)+imag(v)*imag(v))
	}
	noise := median(level) / math.Ln2
	if !(noise > 0) {
		return false
	}
	t.short.Sequence(t.band, t.band)
	scale := complex(1/math.Sqrt(noise*float64(m)), 0)
	for i := range t.band {
		t.band[i] *= scale
	}
	return true
}

// at is the time of a sample of the band from the window's middle, seconds.
func (t *tracker) at(i int) float64 { return ((float64(i)+0.5)/float64(len(t.band)) - 0.5) * t.lengthS }

// along takes the power by frequency, in bins of half the width, along a rate; noise has the mean 1.
func (t *tracker) along(hzPerS float64) {
	clear(t.straight)
	for i, v := range t.band {
		at := t.at(i)
		sin, cos := math.Sincos(-math.Pi * hzPerS * at * at)
		t.straight[i] = v * complex(cos, sin)
	}
	t.fine.Coefficients(t.spectrum, t.straight)
	for i, v := range t.spectrum {
		t.power[i] = (real(v)*real(v) + imag(v)*imag(v)) / float64(len(t.band))
	}
}

// peak is the greatest power that stands out, and its bin; 0 where none does.
func (t *tracker) peak() (best float64, at int) {
	aside := int(besideHz * t.lengthS * 2)
	var beside []float64
	for i, p := range t.power {
		if p <= t.over || p <= best {
			continue
		}
		beside = beside[:0]
		for k := i - aside; k <= i+aside; k++ {
			beside = append(beside, t.power[(k+len(t.power))%len(t.power)])
		}
		if p > t.over*max(1, median(beside)/math.Ln2) {
			best, at = p, i
		}
	}
	return best, at
}

// takeOff subtracts the carrier in a bin along a rate from the band, and returns its frequency at the window's
// middle.
func (t *tracker) takeOff(bin int, hzPerS float64) (hz float64) {
	t.along(hzPerS)
	m := len(t.band)
	size := t.spectrum[bin] / complex(float64(m), 0)
	if bin >= m {
		bin -= 2 * m
	}
	for i := range t.band {
		at := t.at(i)
		sin, cos := math.Sincos(math.Pi*float64(bin*i)/float64(m) + math.Pi*hzPerS*at*at)
		t.band[i] -= size * complex(cos, sin)
	}
	return float64(bin) / 2 / t.lengthS
}

// maskTracks marks the bins of the carriers in a cycle: power NaN.
func (s *spectrum) maskTracks(f frame) {
	for _, c := range s.tracks {
		c.mask(s.power, f, 0, f.toneS)
		c.mask(s.quiet, f, f.toneS/2+quietAfterS+s.quietS/2, s.quietS)
	}
}

// mask marks the bins of a carrier in a window, whose middle is atS from that of the echo window.
func (c track) mask(power []float64, f frame, atS, lengthS float64) {
	skirt := float64(skirtOf(c.cn0*lengthS)) / lengthS
	middle, aside := c.hz+c.hzPerS*atS, math.Abs(c.hzPerS)*lengthS/2+max(coverHz, skirt)
	first := f.reach + int(math.Floor((middle-aside)/f.binHz))
	last := f.reach + int(math.Ceil((middle+aside)/f.binHz))
	for i := max(0, first); i <= min(len(power)-1, last); i++ {
		power[i] = math.NaN()
	}
}
