package view

import "math"

// Uncertain returns v with as many digits as its standard uncertainty deserves: the uncertainty
// keeps two digits where its first three lie between 100 and 354, one where they lie between 355
// and 949, and v ends at the same place. So 1234.6 with 30 is "1235", with 50 "1230", with 0.4
// "1234.6". An uncertainty that is nothing or not known gives Missing: such a figure can't say what
// it is worth. Source: Review of Particle Physics, Introduction, section 5.3 (Particle Data Group),
// 'Rounding'.
func Uncertain(v, uncertainty float64) string {
	place, ok := placeOf(uncertainty)
	if !ok {
		return Missing
	}
	return atPlace(v, place)
}

// SignedUncertain is Uncertain with a plus sign where v is positive.
func SignedUncertain(v, uncertainty float64) string {
	text := Uncertain(v, uncertainty)
	if place, ok := placeOf(uncertainty); ok && text != Missing && toPlace(v, place) > 0 {
		return "+" + text
	}
	return text
}

// PlusMinus returns v and its standard uncertainty to the same place, such as "59.3 ±1.2".
func PlusMinus(v, uncertainty float64) string {
	place, ok := placeOf(uncertainty)
	if !ok {
		return Missing
	}
	return atPlace(v, place) + " ±" + atPlace(uncertainty, place)
}

// placeOf is the power of ten that a value of some uncertainty ends at.
func placeOf(uncertainty float64) (place int, ok bool) {
	if !(uncertainty > 0) || math.IsInf(uncertainty, 0) {
		return 0, false
	}
	decade := int(math.Floor(math.Log10(uncertainty)))
	leading := int(math.Round(uncertainty / math.Pow(10, float64(decade-2)))) // its first three digits
	switch {
	case leading < 355:
		return decade - 1, true
	case leading < 950:
		return decade, true
	}
	return decade, true // 950 to 999 round up to 1000, of which two digits stay
}

func toPlace(v float64, place int) float64 {
	unit := math.Pow(10, float64(max(place, 0)))
	if place < 0 {
		shift := math.Pow(10, float64(-place))
		return math.Round(v*shift) / shift
	}
	return math.Round(v/unit) * unit
}

func atPlace(v float64, place int) string { return Number(toPlace(v, place), max(0, -place)) }

// The uncertainties of what the panes show.
const (
	// reflectivityDB: the Moon's reflectivity is good to a factor of 2 (Pettengill 1965, DTIC AD0628197).
	reflectivityDB = 3
	// differenceDB is that of a loss beside another of the same Moon: the distances are known far better, but what else
	// changes by so much is left out.
	differenceDB = 0.4
	// noiseShare is that of an antenna's noise by its model.
	noiseShare = 0.1
	// minNoiseK is what the zero levels of sky, air and receiver leave.
	minNoiseK = 0.4
)

// degradation returns a loss of signal over noise beside the best of the month: a tenth of the noise is 0.4 dB.
func degradation(db float64) string { return SignedUncertain(db, differenceDB) }

// kelvin returns a noise temperature of the model, to a tenth of itself.
func kelvin(k float64) string { return Uncertain(k, max(minNoiseK, noiseShare*math.Abs(k))) }
