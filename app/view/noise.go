package view

import (
	"math"
	"strconv"
	"time"

	"beamhelm/app/desk"
)

// NoiseTime is how much of the past the noise strip shows.
const NoiseTime = 10 * time.Minute

// Spans returns the spans of the noise strip that can be chosen, in dB. 0 is
// the automatic one.
func Spans() []float64 { return []float64{0, 1, 2, 5, 10, 20} }

// SpanWords names a choice of span.
func SpanWords(span float64) string {
	if span == 0 {
		return "Span auto"
	}
	return "Span " + Number(span, 0) + " dB"
}

// NoiseScale is the vertical scale of the noise strip, in dB above the zero:
// cold sky where it is known, else the least level shown.
type NoiseScale struct {
	// Zero is the detector's level that counts as 0 dB.
	Zero float64
	// Low and High are the edges, dB above the zero. Step is the distance of the lines.
	Low, High, Step float64
	// AboveCold says that the zero is cold sky.
	AboveCold bool
	span      float64 // as it was chosen; 0 is automatic
}

// Next returns the scale for levels between least and most, as the detector
// gives them. Span 0 takes what fits: the scale stays as it is for as long as
// the levels fit into it and use enough of it, so that it does not jump about.
func (s NoiseScale) Next(noise desk.Noise, minimum, maximum, span float64) NoiseScale {
	next := NoiseScale{AboveCold: noise.HasCold, Zero: noise.ColdDB}
	known := !math.IsNaN(minimum) && !math.IsNaN(maximum)
	if !noise.HasCold {
		next.Zero = s.Zero
		if known && (s.AboveCold || s.High == s.Low || math.Abs(minimum-s.Zero) > 20) {
			next.Zero = math.Floor(minimum)
		}
	}
	if !known {
		minimum, maximum = next.Zero, next.Zero
	}
	low, high := minimum-next.Zero, maximum-next.Zero
	if span != 0 {
		next.choose(low, high, span)
	} else {
		next.fit(low, high)
	}
	const generous = 3 // times as much as would be needed
	same := s.Zero == next.Zero && s.AboveCold == next.AboveCold && s.High > s.Low
	kept := same && low >= s.Low && high <= s.High && s.High-s.Low <= generous*(next.High-next.Low)
	if kept && span == s.span {
		return s
	}
	next.span = span
	return next
}

// fit takes the least scale between lines into which low to high fit, with cold
// sky where there is room for it.
func (s *NoiseScale) fit(low, high float64) {
	s.Step = roundStep(max(high-low, 0.8) / 2)
	s.Low, s.High = math.Floor(low/s.Step-0.1)*s.Step, math.Ceil(high/s.Step+0.1)*s.Step
	if s.AboveCold && s.Low > 0 && s.Low <= 2*(s.High-s.Low) {
		s.Step = roundStep(s.High / 4)
		s.Low, s.High = 0, math.Ceil(high/s.Step+0.1)*s.Step
	}
}

// choose takes a scale of a span with low to high in its middle.
func (s *NoiseScale) choose(low, high, span float64) {
	s.Step = roundStep(span / 2.5)
	s.Low = math.Round(((low+high)/2-span/2)/s.Step) * s.Step
	s.High = s.Low + span
}

// roundStep returns the least of 1, 2 and 5 times a power of ten that is not below v.
func roundStep(v float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, part := range []float64{1, 2, 5} {
		if power*part >= v*(1-1e-9) {
			return power * part
		}
	}
	return power * 10
}

// Y returns the height of a detector's level in a plot, from its upper edge.
func (s NoiseScale) Y(levelDB, height float64) float64 {
	return (s.High - (levelDB - s.Zero)) / (s.High - s.Low) * height
}

// Level returns the detector's level at a height in a plot: the inverse of Y.
func (s NoiseScale) Level(y, height float64) float64 {
	return s.High - y/height*(s.High-s.Low) + s.Zero
}

// Lines returns the levels of the lines, dB above the zero, from below.
func (s NoiseScale) Lines() []float64 {
	var lines []float64
	for n := math.Ceil(s.Low/s.Step - 1e-6); n*s.Step <= s.High+s.Step*1e-6; n++ {
		lines = append(lines, n*s.Step)
	}
	return lines
}

// LineWords names a line: dB above cold sky or, where that is not known, as the detector gives it, like the figure
// beside the strip.
func (s NoiseScale) LineWords(level float64) string {
	if !s.AboveCold {
		level += s.Zero
	}
	decimals := 0
	if s.Step < 1 {
		decimals = 1
	}
	return Number(level, decimals) + " dB"
}

// NoiseAt says what was heard at a moment of the past, between two levels of the detector; NaN: nothing clean.
func NoiseAt(s NoiseScale, minimum, maximum float64, keyed bool, at time.Time) (head, under Phrase) {
	under = Phrase{at.UTC().Format("15:04:05") + " UTC", Plain}
	switch {
	case keyed:
		return Phrase{Missing, Faint}, Phrase{under.Words + ", transmitting", Plain}
	case math.IsNaN(minimum):
		return Phrase{Missing, Faint}, Phrase{under.Words + ", nothing heard", Plain}
	case !s.AboveCold: // as the detector gives it, as the figure of now
		return Phrase{Number((minimum+maximum)/2, 1) + " dB", Measured}, under
	}
	return Phrase{Number((minimum+maximum)/2-s.Zero, 1) + " dB", Measured}, under
}

// NoiseWords says what the noise is now, and above what.
func NoiseWords(now Now) Pair {
	noise := now.Noise
	switch {
	case Unheard(now):
		return Pair{Phrase{Missing + " dB", Old}, Phrase{"not known yet", Faint}}
	case !noise.Fitted:
		return Pair{Phrase{Missing + " dB", Faint}, Phrase{"no detector", Faint}}
	case now.Replay != "":
		return replayedNoise(now)
	case !now.Live:
		return Pair{Phrase{Missing + " dB", Old}, Phrase{"not known now", Attention}}
	case !noise.Clean:
		why := "not measured now"
		switch {
		case now.Transmit.Keyed:
			why = "transmitting"
		case noise.Flaw == desk.Silent:
			why = "meter silent"
		case noise.Flaw == desk.Regulated:
			why = "automatic gain"
		case noise.Flaw == desk.Nonsense:
			why = "no level comes"
		case noise.Flaw == desk.Overloaded:
			why = "meter overloaded"
		}
		return Pair{Phrase{Missing + " dB", Old}, Phrase{why, Faint}}
	case !noise.HasCold:
		return Pair{Phrase{Number(noise.LevelDB, 1) + " dB", Measured}, Phrase{"cold-sky level not set", Faint}}
	}
	above, words := noise.LevelDB-noise.ColdDB, "above cold sky"
	if above < -0.05 {
		words = "below cold sky"
	}
	if age := now.At.Sub(noise.ColdAt); age >= time.Hour {
		words += ", " + wholeHours(age) + " old"
	}
	return Pair{Phrase{Number(math.Abs(above), 1) + " dB", Measured}, Phrase{words, Faint}}
}

// wholeHours is an age in hours, or in days.
func wholeHours(age time.Duration) string {
	if hours := int(age.Hours()); hours < 48 {
		return strconv.Itoa(hours) + " h"
	}
	return Span(age)
}

// Averages are the averaging times to choose from, milliseconds.
func Averages() []int { return []int{100, 300, 1000, 3000, 10000, 30000} }

// AverageWords names a choice of averaging time.
func AverageWords(ms int) string {
	decimals := 0
	if ms < 1000 {
		decimals = 1
	}
	return "Average over " + Number(float64(ms)/1000, decimals) + " s"
}

// HeldWords says the highest level since it is held, above the same zero as NoiseWords.
func HeldWords(now Now, heldDB float64) string {
	if now.Noise.HasCold {
		heldDB -= now.Noise.ColdDB
	}
	return "held " + Number(heldDB, 1)
}

// ColdWords says of when and where the cold sky is; empty where there is none.
func ColdWords(now Now) string {
	n := now.Noise
	if !n.HasCold {
		return ""
	}
	return "cold sky of " + Age(n.ColdAt, now.At) + ", at " + Number(n.ColdEl.Deg(), 0) + "°"
}

// MarkWords names a change on the noise strip: a NoiseSample's Mark.
func MarkWords(mark uint8) string {
	names := [...]string{"", "trim", "preamplifier", "noise source", "band", "model"}
	if int(mark) < len(names) {
		return names[mark]
	}
	return ""
}

// ColdSkyBlocked says why cold sky can't be taken now; empty when it can.
func ColdSkyBlocked(now Now) string {
	switch {
	case !now.Live:
		return "no contact with the dish"
	case !now.Noise.Fitted:
		return "no detector"
	case !now.Noise.Clean || math.IsNaN(now.Noise.LevelDB):
		return "the level is not measured now"
	}
	return ""
}
