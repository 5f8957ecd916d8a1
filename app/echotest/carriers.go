package echotest

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A carrier that stays or walks is coherent through a cycle, which no echo is that the Moon spreads widely. It is
// looked for along straight lines of frequency by time, in the echo window together with the quiet time after it. A
// narrow echo might pass for a carrier, but is not in the quiet time: there a carrier must be too.
const (
	wideHz     = 20   // spread from which an echo is no carrier
	trackOver  = 16.0 // times the power beside it
	quietOver  = 4.0  // times the noise: noise does so here and there, and costs some bins of one cycle
	quietOwing = 0.2  // of what it would have in the quiet time, were it as strong as before
	besideHz   = 6.0  // over which the usual power is taken
	steepest   = 2.0  // Hz/s, either way
	rateStep   = 1.5  // over the square of the window's length: a carrier between two steps loses 0.4 dB
	maxTracks  = 3    // a cycle
	maxTries   = 9    // a cycle: a fading narrow echo is several peaks, each of which is tried and no carrier
	coverHz    = 0.75 // on either side of a carrier
)

// track is a carrier's way through a cycle: its frequency from the one expected for the echo, at the middle of the
// echo window, its rate, and its power over the noise in 1 Hz.
type track struct{ hz, hzPerS, cn0 float64 }

// tracker looks for carriers in the band around the frequency expected.
type tracker struct {
	lengthS float64
	startS  float64 // from the middle of the echo window to the window's first sample
	quietS  float64 // from the window's middle to the quiet time
	narrow  bool    // an echo is as narrow as a carrier, which must then be in the quiet time too
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
	t := new(tracker)
	n := smoothLength(after + quiet)
	t.lengthS = float64(n) / h.r.RateHz
	t.startS = -h.f.toneS / 2
	t.quietS = float64(after)/h.r.RateHz - t.lengthS/2
	t.narrow = h.p.SpreadHz < wideHz
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
	first := int(math.Round(c.EchoStartS * h.r.RateHz))
	if first+len(t.window) > len(h.r.Samples) {
		return nil
	}
	h.mix(t.window, c, 0, len(t.window))
	if !t.takeBand() {
		return nil
	}
	step := rateStep / (t.lengthS * t.lengthS)
	steps := int(math.Ceil(steepest / step))
	for tries := 0; tries < maxTries && len(tracks) < maxTracks; tries++ {
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
		if !t.staysOn(at, rate, best) {
			t.takeOff(at, rate, t.quietS)
			continue
		}
		hz := t.takeOff(at, rate, t.lengthS)
		tracks = append(tracks, track{hz - rate*(t.startS+t.lengthS/2), rate, best / t.lengthS})
	}
	return tracks
}

// takeBand takes the band out of the window, over its noise; false where there is none.
func (t *tracker) takeBand() bool {
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
		if p <= trackOver || p <= best {
			continue
		}
		beside = beside[:0]
		for k := i - aside; k <= i+aside; k++ {
			beside = append(beside, t.power[(k+len(t.power))%len(t.power)])
		}
		if p > trackOver*max(1, median(beside)/math.Ln2) {
			best, at = p, i
		}
	}
	return best, at
}

// staysOn reports whether a carrier in a bin along a rate, of so much power, is in the quiet time too, where it must.
func (t *tracker) staysOn(bin int, hzPerS, power float64) bool {
	if !t.narrow {
		return true
	}
	sum, n := complex(0, 0), 0.0
	for i, v := range t.carrier(bin, hzPerS) {
		if t.at(i) >= t.quietS {
			sum += t.band[i] * cmplx.Conj(v)
			n++
		}
	}
	quiet := (real(sum)*real(sum) + imag(sum)*imag(sum)) / n
	return quiet > max(quietOver, quietOwing*power*n/float64(len(t.band)))
}

// takeOff subtracts the carrier in a bin along a rate from the band, up to a time from the window's middle, and
// returns its frequency at the window's middle, Hz from the one expected for the echo.
func (t *tracker) takeOff(bin int, hzPerS, untilS float64) (hz float64) {
	carrier, size, n := t.carrier(bin, hzPerS), complex(0, 0), 0
	for i, v := range t.band {
		if t.at(i) < untilS {
			size += v * cmplx.Conj(carrier[i])
			n++
		}
	}
	size /= complex(float64(n), 0)
	for i := range n {
		t.band[i] -= size * carrier[i]
	}
	if bin >= len(t.band) {
		bin -= 2 * len(t.band)
	}
	return float64(bin) / 2 / t.lengthS
}

// carrier is one of power 1 in a bin along a rate.
func (t *tracker) carrier(bin int, hzPerS float64) []complex128 {
	m := len(t.band)
	carrier := t.straight[:m]
	for i := range carrier {
		at := t.at(i)
		sin, cos := math.Sincos(math.Pi*float64(bin*i%(2*m))/float64(m) + math.Pi*hzPerS*at*at)
		carrier[i] = complex(cos, sin)
	}
	return carrier
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
