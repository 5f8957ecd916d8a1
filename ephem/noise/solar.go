package noise

import (
	"fmt"
	"math"
	"time"
)

// FluxPoint is a flux at a frequency, in solar flux units.
type FluxPoint struct{ MHz, SFU float64 }

// IndexMHz is the frequency of the daily index of solar activity, of 10.7 cm.
const IndexMHz = 2800

// StationMHz are the frequencies at which solar radio observatories report the flux of the day, and the index's.
func StationMHz() []float64 { return []float64{245, 410, 610, 1415, 2695, IndexMHz, 4995, 8800, 15400} }

// quiet is the Sun at a frequency: its flux at sunspot minimum, and by how much it rises for
// each unit by which the index is above its own.
type quiet struct{ mhz, sfu, rise float64 }

// quietSun: the fluxes are good to 15-20 % (from memory; that one spectrum serves all minima is published: Shimojo et
// al. 2017, arXiv 1709.03695, agree within 7 % over five of them). The rises follow from what a maximum with an index
// of
// 200 makes of them: 2 to 3 times from 610 to 2800 MHz, 1.5 times at 5 to 9 GHz, 1.1 times at 15 GHz (from memory).
func quietSun() []quiet {
	return []quiet{
		{245, 11, 0.08}, {410, 24, 0.2}, {610, 35, 0.3}, {1415, 50, 0.6}, {2695, 68, 0.98}, {4995, 110, 0.65},
		{8800, 220, 0.8}, {15400, 510, 0.4},
	}
}

const (
	// quietIndex is the index at sunspot minimum.
	quietIndex = 67
	quietShare = 0.2
)

// QuietSun is the Sun's flux at sunspot minimum at eight reporting frequencies, good to 15-20 %.
func QuietSun() []FluxPoint {
	var list []FluxPoint
	for _, q := range quietSun() {
		list = append(list, FluxPoint{q.mhz, q.sfu})
	}
	return list
}

// QuietFlux is the quiet Sun's flux at any frequency from 245 MHz: above the list it rises with the square
// of the frequency, as a disc of one temperature does. 0 below the list.
func QuietFlux(mhz float64) (sfu float64) {
	sfu, _ = quietAt(mhz)
	return sfu
}

// quietAt is the quiet flux and the rise at a frequency, straight lines of the logarithms.
func quietAt(mhz float64) (sfu, rise float64) {
	list := quietSun()
	if last := list[len(list)-1]; mhz > last.mhz {
		return last.sfu * (mhz / last.mhz) * (mhz / last.mhz), last.rise
	}
	for i := 1; i < len(list); i++ {
		if a, b := list[i-1], list[i]; mhz >= a.mhz && mhz <= b.mhz {
			part := math.Log(mhz/a.mhz) / math.Log(b.mhz/a.mhz)
			return a.sfu * math.Pow(b.sfu/a.sfu, part), a.rise * math.Pow(b.rise/a.rise, part)
		}
	}
	return 0, 0
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

// Shares of error (common practice, no source).
const (
	reportShare  = 0.05 // of a report at its own frequency, or between two
	spreadShare  = 0.15 // of what one frequency says of another an octave away, added in quadrature
	longestReach = 3.0  // octaves; farther away a report says nothing
)

// FluxFrom is the flux at a frequency by reports of one time, ordered by frequency, with its share of error: between
// two of them along straight lines of the logarithms; beyond them the nearest one tells how active the Sun is, and the
// quiet spectrum with its rises the rest.
func FluxFrom(reports []FluxPoint, mhz float64) (sfu, share float64, err error) {
	if sfu, err := FluxAt(reports, mhz); err == nil {
		return sfu, reportShare, nil
	}
	nearest, octaves := FluxPoint{}, math.Inf(1)
	for _, p := range reports {
		if away := math.Abs(math.Log2(mhz / p.MHz)); away < octaves {
			nearest, octaves = p, away
		}
	}
	base, rise := quietAt(nearest.MHz)
	here, risesBy := quietAt(mhz)
	if !(octaves <= longestReach) || base == 0 || here == 0 {
		return 0, 0, fmt.Errorf("no flux around %.0f MHz is reported", mhz)
	}
	active := (nearest.SFU - base) / rise
	sfu = max(here+risesBy*active, here/2)
	return sfu, math.Hypot(reportShare, spreadShare*min(1, octaves)+0.05*max(0, octaves-1)), nil
}

// The solar cycle as it is expected: sunspot minimum in December 2019 (published by the keepers of the sunspot
// number), 11 years from one to the next, 4.8 of them rising (common practice, no source for the next ones).
const (
	cycleBegins = 2019.95
	cycleYears  = 11.0
	cycleRises  = 4.8
	cycleHeight = 110 // of the index at the maximum above the minimum: cycles differ by 60 to 160
)

// ExpectedIndex is the index of solar activity to be expected by the phase of the solar cycle, and its error: that
// of the cycle's height and the month's ups and downs.
func ExpectedIndex(at time.Time) (sfu, errorSFU float64) {
	years := math.Mod(yearOf(at)-cycleBegins, cycleYears)
	if years < 0 {
		years += cycleYears
	}
	part := years / cycleRises
	if years > cycleRises {
		part = (cycleYears - years) / (cycleYears - cycleRises)
	}
	above := cycleHeight * (1 - math.Cos(math.Pi*part)) / 2
	return quietIndex + above, 8 + 0.4*above
}

// ExpectedFlux is the Sun's flux to be expected by the phase of the solar cycle alone, with its share of error; 0
// below 245 MHz.
func ExpectedFlux(mhz float64, at time.Time) (sfu, share float64) {
	index, off := ExpectedIndex(at)
	base, rise := quietAt(mhz)
	if base == 0 {
		return 0, 0
	}
	sfu = base + rise*(index-quietIndex)
	return sfu, math.Hypot(quietShare*base, rise*off) / sfu
}
