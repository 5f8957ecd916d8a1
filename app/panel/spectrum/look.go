package spectrum

import (
	"fmt"
	"time"

	"beamhelm/app/audio/spectrum"
	"beamhelm/app/view"
)

// look is how the operator looks at the audio.
type look struct {
	span, middle int // indices into spans, and Hz
	average      int // index into averages
	top          int // index into tops
}

// spans are the widths of the view, Hz; averages the time of a row; tops the brightest level, dB over the noise.
var (
	spans    = [...]float64{4000, 3000, 2000, 1000, 500, 200, 100}
	averages = [...]time.Duration{125 * time.Millisecond, 250 * time.Millisecond, 500 * time.Millisecond, time.Second,
		2 * time.Second, 5 * time.Second}
	tops = [...]float64{6, 10, 15, 20, 30, 40, 60}
)

// bottomDB is the level of the darkest colour.
const bottomDB = -3

func usualLook() look { return look{span: 1, middle: 1500, average: 1, top: 3} }

// view is what is to be looked at.
func (l look) view() spectrum.View {
	low := float64(l.middle) - spans[l.span]/2
	return spectrum.View{LowHz: low, HighHz: low + spans[l.span], Average: averages[l.average]}
}

// within keeps the view inside what is heard.
func (l look) within() look {
	half := int(spans[l.span] / 2)
	l.middle = max(half, min(l.middle, spectrum.PassHz-half))
	return l
}

// narrower and wider by a step, with what is at hz staying where it is.
func (l look) narrower(by int, hz float64) look {
	was := l.view()
	l.span = max(0, min(l.span+by, len(spans)-1))
	part := (hz - was.LowHz) / (was.HighHz - was.LowHz)
	l.middle = int(hz + (0.5-part)*spans[l.span] + 0.5)
	return l.within()
}

// shifted by a part of the span.
func (l look) shifted(parts float64) look {
	l.middle += int(parts * spans[l.span])
	return l.within()
}

func (l look) longer(by int) look {
	l.average = max(0, min(l.average+by, len(averages)-1))
	return l
}

func (l look) higher(by int) look {
	l.top = max(0, min(l.top+by, len(tops)-1))
	return l
}

func spanWords(hz float64) string {
	if hz >= 1000 {
		return view.Number(hz/1000, 0) + " kHz"
	}
	return view.Number(hz, 0) + " Hz"
}

func averageWords(d time.Duration) string { return fmt.Sprintf("%g s", d.Seconds()) }

func levelWords(top float64) string {
	return view.Signed(bottomDB, 0) + " to " + view.Signed(top, 0) + " dB"
}

// tickStep is a round step that makes at most so many ticks of a length.
func tickStep(length float64, maximum int) float64 {
	for decade := 1.0; ; decade *= 10 {
		for _, part := range []float64{1, 2, 5} {
			if length/(part*decade) <= float64(maximum) {
				return part * decade
			}
		}
	}
}
