package view

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// PeakBlocked says why no peak can be taken now; empty when it can.
func PeakBlocked(now Now) string {
	switch {
	case !now.Live:
		return "no contact with the dish"
	case !now.Noise.Fitted:
		return "no noise meter is fitted"
	case now.Peak.Running:
		return "a peak is being measured"
	case now.TimeScale > 1:
		return "needs real time"
	case now.Activity != desk.Tracking:
		return "track a target first"
	}
	return ""
}

// OffSourceBlocked says why the beam can't go off source now; empty when it can, or can come back.
func OffSourceBlocked(now Now) string {
	switch {
	case !now.Live:
		return "no contact with the dish"
	case now.Activity != desk.Tracking:
		return "nothing is tracked"
	case now.Peak.Running:
		return "a peak is being measured"
	}
	return ""
}

// PeakHead says what the newest peak is of, or what is being done.
func PeakHead(now Now) Pair {
	p := now.Peak
	switch {
	case p.Running:
		return Pair{Phrase{p.Doing.String(), Wanted}, Phrase{Number(100*p.Part, 0) + " % done", Plain}}
	case p.Last == nil:
		if blocked := PeakBlocked(now); blocked != "" {
			return Pair{Phrase{"No peak yet", Faint}, Phrase{blocked, Faint}}
		}
		return Pair{Phrase{"No peak yet", Faint}, Phrase{}}
	}
	how := "cross-scan"
	if p.Last.Quick {
		how = "five-point"
	}
	return Pair{Phrase{titled(p.Last.Target) + ", " + p.Last.Band + ", " + how, Plain},
		Phrase{Moment(p.Last.At, now.At), Faint}}
}

// titled is a target's name at the head of something.
func titled(name string) string {
	if name == "Moon" || name == "Sun" {
		return "The " + name
	}
	return Sentence(name)
}

// PeakShown is the peak that is shown: the one under way as far as it has come, else the newest; nil for none.
func PeakShown(now Now) *desk.PeakResult {
	if now.Peak.Running {
		return now.Peak.SoFar
	}
	return now.Peak.Last
}

// beamNames are those of the beamwidths in both.
var beamNames = [2]string{"Beamwidth, cross-el.", "Beamwidth, elevation"}

// PeakFigures are those of the peak that is shown.
func PeakFigures(now Now) []Figure {
	p := PeakShown(now)
	names := [2]string{"Cross-elevation", "Elevation"}
	if p == nil {
		var lines []Figure
		for _, name := range [...]string{names[0], names[1], "Peak above baseline", beamNames[0],
			beamNames[1]} {
			lines = append(lines, Figure{Name: name, Value: Phrase{Missing, Faint}})
		}
		return lines
	}
	tone := Measured
	if p.Why.Code != "" {
		tone = Old
	}
	var lines []Figure
	errors := [2]float64{p.Error.Cross.Deg(), p.Error.El.Deg()}
	was := [2]float64{p.Was.Cross.Deg(), p.Was.El.Deg()}
	for axis, found := range [2]float64{p.Found.Cross.Deg(), p.Found.El.Deg()} {
		line := Figure{names[axis], Phrase{Missing, tone}, Phrase{}}
		if p.Curves[axis].Has {
			line.Value.Words = SignedUncertain(found, errors[axis]) + "°"
			line.Note = Phrase{fmt.Sprintf("±%s, was %s°", Uncertain(errors[axis], errors[axis]), Signed(was[axis], 2)),
				Faint}
		}
		lines = append(lines, line)
	}
	signal := Figure{"Peak above baseline", Phrase{Missing, tone}, Phrase{}}
	widths := [2]Figure{}
	for axis := range widths {
		widths[axis] = Figure{beamNames[axis], Phrase{Missing, tone}, Phrase{}}
	}
	if p.Curves[0].Has && p.Curves[1].Has {
		signal.Value.Words = measured(p.SignalDB, p.SignalError, 1) + " dB"
		a, b := &p.Curves[0], &p.Curves[1]
		for axis := range widths {
			widths[axis].Value.Words = measured(p.Beam[axis].Deg(), p.BeamError[axis].Deg(), 2) + "°"
		}
		widths[0].Note = Phrase{"expected " + Number(a.Shape.Beam.Deg(), 2) + "°", Faint}
		widths[1].Note = Phrase{"scan " + scanWidth(a) + ", " + scanWidth(b), Faint}
		if p.Quick {
			widths[0].Value.Words, widths[0].Note = Number(a.Shape.Width.Deg(), 2)+"°", Phrase{"assumed", Faint}
			widths[1].Value.Words, widths[1].Note = Number(b.Shape.Width.Deg(), 2)+"°", Phrase{"assumed", Faint}
		}
	}
	return append(lines, signal, widths[0], widths[1])
}

// measured is a figure with its standard deviation, or without where that isn't known.
func measured(v, deviation float64, decimals int) string {
	if words := PlusMinus(v, deviation); words != Missing {
		return words
	}
	return Number(v, decimals)
}

// scanWidth is the width of the curve itself, over the disc of the target, to as many digits as it is known.
func scanWidth(c *desk.PeakCurve) string {
	width := c.Shape.Width.Deg()
	if words := Uncertain(c.Fit.Stretch*width, c.Fit.StretchError*width); words != Missing {
		return words + "°"
	}
	return Number(c.Fit.Stretch*width, 2) + "°"
}

// PeakVerdict says what the newest peak is good for.
func PeakVerdict(now Now) Phrase {
	p := now.Peak.Last
	switch {
	case p == nil || now.Peak.Running:
		return Phrase{}
	case p.Why.Code != "":
		return Phrase{"Unusable: " + p.Why.String(), Attention}
	case now.Peak.Usable:
		across, up := p.Found.Cross-now.Trim.CrossEl, p.Found.El-now.Trim.El
		return Phrase{"Applying it moves the beam " + sideWords(across.Deg()) + " and " + heightWords(up.Deg()), Wanted}
	case now.Peak.Applied:
		return Phrase{"Applied as trim", Faint}
	}
	return Phrase{"Measured with another band, feed or target", Faint}
}

func sideWords(degrees float64) string {
	if degrees < 0 {
		return Number(-degrees, 2) + "° left"
	}
	return Number(degrees, 2) + "° right"
}

func heightWords(degrees float64) string {
	if degrees < 0 {
		return Number(-degrees, 2) + "° down"
	}
	return Number(degrees, 2) + "° up"
}

// curveSteps is the number of pieces of a drawn curve.
const curveSteps = 120

// PeakPlots are both axes of a peak: dB over the sky beside the target, against degrees of true angle.
func PeakPlots(p *desk.PeakResult) [2]Plot {
	plots := [2]Plot{{Title: "Cross-elevation"}, {Title: "Elevation"}}
	for axis := range plots {
		plot := &plots[axis]
		plot.Unit, plot.XUnit, plot.Decimals, plot.XDecimals = "dB", "°", 2, 3
		plot.None = "nothing measured yet"
		if p != nil {
			fillPeak(plot, p, axis)
		}
	}
	return plots
}

func fillPeak(plot *Plot, p *desk.PeakResult, axis int) {
	c := &p.Curves[axis]
	if len(c.Points) == 0 || c.Has && c.Fit.Base <= 0 {
		return
	}
	base := c.Fit.Base
	if !c.Has { // over the lowest level
		base = c.Points[0].Power
		for _, q := range c.Points {
			base = min(base, q.Power)
		}
	}
	level := func(power float64) float64 { return 10 * math.Log10(max(power/base, 1e-3)) }
	measured, fit := Series{Name: "measured", Look: Dots}, Series{Name: "fit"}
	for _, q := range c.Points {
		measured.X, measured.Y = append(measured.X, q.Off.Deg()), append(measured.Y, level(q.Power))
		measured.Odd = append(measured.Odd, q.Odd)
	}
	plot.Add(measured)
	was := p.Was.Cross.Deg()
	if axis == 1 {
		was = p.Was.El.Deg()
	}
	plot.Places = []Place{{X: was, Name: "trim", Was: true}}
	if !c.Has {
		plot.Low = min(plot.Low, 0)
		plot.Room(0.04, 0.01, 0.05)
		return
	}
	for i := range curveSteps + 1 {
		off := plot.Left + (plot.Right-plot.Left)*float64(i)/curveSteps
		fit.X = append(fit.X, off)
		fit.Y = append(fit.Y, level(c.Fit.Power(c.Shape, unit.AngleFromDeg(off))))
	}
	plot.Add(fit)
	plot.Low = min(plot.Low, 0)
	plot.Room(0.04, 0.01, 0.05)
	plot.Places = append(plot.Places, Place{X: c.Fit.Centre.Deg(), Name: "peak"})
}
