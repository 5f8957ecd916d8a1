package noise

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// FluxPoint is a flux at a frequency, in solar flux units.
type FluxPoint struct{ MHz, SFU float64 }

// QuietSun is the Sun's flux at sunspot minimum at eight reporting frequencies, good to 15-20 %
// (from memory). At maximum it is 2 to 3 times that around 1 GHz, 1.1 times at 15 GHz. For a
// measurement take the day's reports.
func QuietSun() []FluxPoint {
	return []FluxPoint{{245, 11}, {410, 24}, {610, 35}, {1415, 50}, {2695, 68}, {4995, 110}, {8800, 220}, {15400, 510}}
}

// FluxAt interpolates reported fluxes, ordered by frequency, along straight lines of the
// logarithms. It doesn't go beyond the reports.
func FluxAt(reports []FluxPoint, mhz float64) (sfu float64, err error) {
	for i, p := range reports {
		if !(p.MHz > 0 && p.SFU > 0) || i > 0 && p.MHz <= reports[i-1].MHz {
			return 0, fmt.Errorf("solar flux: %v MHz, %v sfu is not positive or out of order", p.MHz, p.SFU)
		}
	}
	for i := 1; i < len(reports); i++ {
		a, b := reports[i-1], reports[i]
		if mhz >= a.MHz && mhz <= b.MHz {
			part := math.Log(mhz/a.MHz) / math.Log(b.MHz/a.MHz)
			return a.SFU * math.Pow(b.SFU/a.SFU, part), nil
		}
	}
	return 0, fmt.Errorf("solar flux: no reports around %v MHz", mhz)
}

// spectrum is log10 of flux in Jy as a polynomial of log10 of frequency in GHz.
type spectrum struct {
	fromGHz, toGHz float64
	terms          []float64
}

func (s spectrum) at(ghz float64) float64 {
	x, sum := math.Log10(ghz), 0.0
	for i := len(s.terms) - 1; i >= 0; i-- {
		sum = sum*x + s.terms[i]
	}
	return math.Pow(10, sum)
}

// perley are the spectra of Perley and Butler 2017 (ApJS 230, 7), Cas A as of 2016.
func perley(name string) spectrum {
	return map[string]spectrum{
		"Cas A": {0.2, 4, []float64{3.3584, -0.7518, -0.035, -0.071}},
		"Cyg A": {0.05, 12, []float64{3.3498, -1.0022, -0.225, 0.023, 0.043}},
		"Tau A": {0.05, 4, []float64{2.9516, -0.2170, -0.047, -0.067}},
		"Vir A": {0.05, 3, []float64{2.4466, -0.8116, -0.048}},
	}[name]
}

// baars are those of Baars et al. 1977 (A&A 61, 99), written for GHz, Cas A as of 1980. They
// serve above Perley and Butler.
func baars(name string) spectrum {
	return map[string]spectrum{
		"Cas A": {0.3, 31, []float64{5.745 - 3*0.770, -0.770}},
		"Cyg A": {2, 31, []float64{7.161 - 3*1.244, -1.244}},
		"Tau A": {1, 35, []float64{3.915 - 3*0.299, -0.299}},
		"Vir A": {0.4, 25, []float64{5.023 - 3*0.856, -0.856}},
	}[name]
}

const (
	// Cas A fades by about 0.67 % a year (Reichart and Stephens 2000: 0.6 to 0.7 since 1990).
	casFadesPerYear = 0.0067
	perleyYear      = 2016
	// baars measured Cas A for 1980; over the years up to perleyYear the same fading serves.
	baarsYear = 1980
)

// SourceFlux is the flux in Jy of a radio source by its catalogue name. Good to about 5 % within
// Perley and Butler's range, 10-15 % above it. Sgr A* has none: it doesn't stand
// out from its surroundings in a small dish's beam.
func SourceFlux(name string, hz float64, at time.Time) (jy float64, err error) {
	ghz := hz / 1e9
	s, from := perley(name), float64(perleyYear)
	if ghz > s.toGHz {
		s, from = baars(name), baarsYear
	}
	if len(s.terms) == 0 || ghz < s.fromGHz || ghz > s.toGHz {
		return 0, fmt.Errorf("no flux of %s at %.4g GHz is known", name, ghz)
	}
	jy = s.at(ghz)
	if name == "Cas A" {
		year := float64(at.Year()) + float64(at.YearDay())/365.25
		jy *= math.Pow(1-casFadesPerYear, year-from)
	}
	return jy, nil
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
