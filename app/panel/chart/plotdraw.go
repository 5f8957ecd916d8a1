package chart

import (
	"image"
	"math"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Draw draws what is shown, without figures and words; unit is the number of pixels in a unit of the window.
func (p *Plot) Draw(w, h int, unit float64) image.Image {
	ink, d := widget.Current(), New(w, h)
	d.FillAll(ink.Well)
	if !p.shown.Has() || w < 8 || h < 8 {
		return d.Picture()
	}
	s := p.scale()
	for _, span := range p.shown.Shaded {
		d.Fill(image.Rect(int(p.seen.Part(span[0])*float64(w)+0.5), 0,
			int(p.seen.Part(span[1])*float64(w)+0.5), h), widget.Fade(ink.Text, 0.09))
	}
	GridAt(d, p.ticks(), s, unit, ink.Line)
	if p.shown.Limits != ([4]float64{}) {
		Limits(d, s, p.shown.Limits, unit)
	}
	x := func(v float64) float64 { return p.seen.Part(v) * float64(w) }
	y := func(v float64) float64 { return s.Y(v, float64(h)) }
	for _, at := range p.shown.Places {
		line := []Point{{X: x(at.X), Y: 0}, {X: x(at.X), Y: float64(h)}}
		if at.Was {
			d.Dashed(line, unit, 3*unit, 3*unit)
			d.Paint(ink.Dim)
			continue
		}
		d.Line(line, 1.3*unit)
		d.Paint(ink.Setpoint)
	}
	// Dots would hide a curve over them; a curve over discs or rings would strike them through.
	for _, look := range [...]view.Look{view.Band, view.Dots, view.Curve, view.Discs, view.Rings} {
		for k := range p.shown.Series {
			if row := &p.shown.Series[k]; row.Look == look {
				drawSeries(d, row, x, y, unit, ink)
			}
		}
	}
	return d.Picture()
}

// drawSeries draws one row of figures.
func drawSeries(d *Drawing, row *view.Series, x, y func(float64) float64, unit float64, ink *widget.Palette) {
	switch row.Look {
	case view.Curve:
		drawCurve(d, row, x, y, unit)
		d.Paint(ink.Setpoint)
		return
	case view.Band:
		drawBand(d, row, x, y, unit)
		d.Paint(ink.Measured)
		return
	}
	for _, odd := range [...]bool{false, true} {
		for i, v := range row.X {
			if math.IsNaN(row.Y[i]) || (row.Odd != nil && row.Odd[i]) != odd {
				continue
			}
			switch at := (Point{X: x(v), Y: y(row.Y[i])}); row.Look {
			case view.Rings:
				d.Ring(at, 2.5*unit, unit)
			case view.Dots:
				d.Disc(at, 1.3*unit)
			default:
				d.Disc(at, 2.2*unit)
			}
			if row.Error != nil {
				drawError(d, x(v), y(row.Y[i]-row.Error[i]), y(row.Y[i]+row.Error[i]), unit)
			}
		}
		if odd {
			d.Paint(ink.Dim)
		} else {
			d.Paint(ink.Measured)
		}
	}
}

// drawError gathers the bar of a standard error, with its two ends.
func drawError(d *Drawing, x, low, high, unit float64) {
	d.Line([]Point{{X: x, Y: low}, {X: x, Y: high}}, unit)
	for _, y := range [...]float64{low, high} {
		d.Line([]Point{{X: x - 3*unit, Y: y}, {X: x + 3*unit, Y: y}}, unit)
	}
}

// drawCurve gathers a line with gaps where there is no figure; a point alone is a short stroke.
func drawCurve(d *Drawing, row *view.Series, x, y func(float64) float64, unit float64) {
	var line []Point
	end := func() {
		if len(line) == 1 {
			line = []Point{{X: line[0].X - 8*unit, Y: line[0].Y}, {X: line[0].X + 8*unit, Y: line[0].Y}}
		}
		d.Line(line, 1.5*unit)
		line = nil
	}
	for i, v := range row.X {
		if math.IsNaN(row.Y[i]) {
			end()
			continue
		}
		line = append(line, Point{X: x(v), Y: y(row.Y[i])})
	}
	end()
}

// drawBand gathers what lies between the lowest and the highest of each column; columns without a figure are gaps.
func drawBand(d *Drawing, row *view.Series, x, y func(float64) float64, unit float64) {
	var upper, lower []Point
	end := func() {
		for i := len(lower) - 1; i >= 0; i-- {
			upper = append(upper, lower[i])
		}
		d.Polygon(upper...)
		upper, lower = nil, nil
	}
	for i, v := range row.X {
		if math.IsNaN(row.Y[i]) {
			if len(upper) > 0 {
				end()
			}
			continue
		}
		upper = append(upper, Point{X: x(v), Y: y(row.Top[i]) - 0.7*unit})
		lower = append(lower, Point{X: x(v), Y: y(row.Y[i]) + 0.7*unit})
	}
	if len(upper) > 0 {
		end()
	}
}
