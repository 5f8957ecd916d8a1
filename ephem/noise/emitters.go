package noise

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// spectrum is log10 of flux in Jy as a polynomial of log10 of frequency in GHz.
type spectrum struct {
	fromGHz, toGHz float64
	year           float64 // for which it holds, where the source fades
	terms          []float64
}

func (s spectrum) at(ghz float64) float64 {
	x, sum := math.Log10(ghz), 0.0
	for i := len(s.terms) - 1; i >= 0; i-- {
		sum = sum*x + s.terms[i]
	}
	return math.Pow(10, sum)
}

// StrongSource is one of the four that the table of the sky doesn't hold.
type StrongSource struct {
	Name string
	// RADeg and DecDeg, ICRS.
	RADeg, DecDeg float64
	// low is the spectrum of Perley and Butler 2017 (ApJS 230, 7), high that of Baars et al. 1977 (A&A 61, 99), which
	// serves above it.
	low, high spectrum
	// fades by this part a year.
	fades float64
}

// StrongSources are the sources that the table of the sky doesn't hold. Cas A fades by about 0.67 % a year
// (Reichart and Stephens 2000: 0.6 to 0.7 since 1990), from the year that each paper measured it for.
func StrongSources() []StrongSource {
	return []StrongSource{
		{"Cas A", 350.85, 58.815, spectrum{0.2, 4, 2016, []float64{3.3584, -0.7518, -0.035, -0.071}},
			spectrum{0.3, 31, 1980, []float64{5.745 - 3*0.770, -0.770}}, 0.0067},
		{"Cyg A", 299.8681525, 40.73391556, spectrum{0.05, 12, 0, []float64{3.3498, -1.0022, -0.225, 0.023, 0.043}},
			spectrum{2, 31, 0, []float64{7.161 - 3*1.244, -1.244}}, 0},
		{"Tau A", 83.63308333, 22.0145, spectrum{0.05, 4, 0, []float64{2.9516, -0.2170, -0.047, -0.067}},
			spectrum{1, 35, 0, []float64{3.915 - 3*0.299, -0.299}}, 0},
		{"Vir A", 187.70593075, 12.39112331, spectrum{0.05, 3, 0, []float64{2.4466, -0.8116, -0.048}},
			spectrum{0.4, 25, 0, []float64{5.023 - 3*0.856, -0.856}}, 0},
	}
}

const (
	// blendTo is up to how many times the end of the lower spectrum the upper one comes in: the
	// two papers differ by up to 12 % there (Tau A).
	blendTo = 1.375
	// Shares of error: within the lower paper's range; where both meet, and with the upper one.
	lowShare, highShare = 0.05, 0.12
)

// Flux of a source in Jy, with its share of error. There is none outside both papers' ranges.
func (s StrongSource) Flux(hz float64, at time.Time) (jy, share float64, err error) {
	ghz := hz / 1e9
	if ghz < s.low.fromGHz || ghz > s.high.toGHz {
		return 0, 0, fmt.Errorf("no flux of %s at %.4g GHz is known", s.Name, ghz)
	}
	year := yearOf(at)
	of := func(p spectrum) float64 { return p.at(ghz) * math.Pow(1-s.fades, year-p.year) }
	part := max(0, min(1, math.Log(ghz/s.low.toGHz)/math.Log(blendTo)))
	switch part {
	case 0:
		jy = of(s.low)
	case 1:
		jy = of(s.high)
	default:
		jy = math.Pow(of(s.low), 1-part) * math.Pow(of(s.high), part)
	}
	if ghz > s.low.toGHz/blendTo {
		return jy, highShare, nil
	}
	return jy, lowShare, nil
}

// yearOf is the year with its decimals.
func yearOf(at time.Time) float64 {
	at = at.UTC()
	begin := time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	return float64(at.Year()) + at.Sub(begin).Hours()/begin.AddDate(1, 0, 0).Sub(begin).Hours()
}

// SourceFlux is the flux in Jy of a radio source by its catalogue name, with its share of error: 5 %, and 12 % where
// only the older paper serves. Sgr A* has none: it doesn't stand out from its surroundings in a
// small dish's beam.
func SourceFlux(name string, hz float64, at time.Time) (jy, share float64, err error) {
	for _, s := range StrongSources() {
		if s.Name == name {
			return s.Flux(hz, at)
		}
	}
	return 0, 0, fmt.Errorf("no flux of %s is known", name)
}

// MoonK is the Moon's own temperature, mean over the disc, at a frequency and phase (0 full Moon, to a
// full turn, waning first). Source: RATAN-600 handbook; it follows full Moon by 3 to 4 days.
func MoonK(hz float64, phase unit.Angle) float64 {
	cm := lightMps / hz * 100
	mean := 225.0
	if cm <= 30 {
		mean = 206.06 + (1.6308+(-0.043774+0.00043042*cm)*cm)*cm
	}
	// The ratio of mean and swing: a curve to 12 cm, 50 from 20 cm, a straight line between.
	short := min(cm, 12)
	ratio := 1.2207 + (5.3788+(-0.26528+0.0064374*short)*short)*short
	ratio += (50 - ratio) * max(0, min(1, (cm-12)/8))
	const lag = math.Pi / 4
	return mean + mean/ratio*math.Cos(phase.Rad()-lag)
}
