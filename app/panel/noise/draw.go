package noise

import (
	"image"
	"math"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// draw draws the strip: one column a pixel, and the ticks of time. Held is the level that is held, NaN for none.
func draw(d *chart.Drawing, unit float64, columns []column, ticks []float64,
	scale view.NoiseScale, held float64,
) image.Image {
	p := widget.Current()
	w, h := d.Picture().Bounds().Dx(), d.Picture().Bounds().Dy()
	d.FillAll(p.Well)
	thick := max(1, int(math.Round(unit)))
	shift := w - len(columns)
	eachRun(columns, func(c column) bool { return c.ours }, func(from, to int) {
		d.Fill(image.Rect(shift+from, 0, shift+to, h), widget.Fade(p.Transmit, 0.5))
	})
	eachRun(columns, func(c column) bool { return c.keyed }, func(from, to int) {
		d.Fill(image.Rect(shift+from, 0, shift+to, h), p.Transmit)
	})
	for _, level := range scale.Lines() {
		d.Across(0, float64(w), scale.Y(level+scale.Zero, float64(h)), thick, p.Line)
	}
	for _, x := range ticks {
		d.Down(x, 0, float64(h), thick, p.Line)
	}
	if y := scale.Y(held, float64(h)); y >= 0 && y <= float64(h) {
		d.Across(0, float64(w), y, thick, p.Setpoint)
	}
	drawTrace(d, columns, shift, unit, scale, float64(h))
	d.Paint(p.Measured)
	for i, c := range columns {
		if c.mark != 0 {
			drawMark(d, c.mark, float64(shift+i)+0.5, float64(h), unit)
		}
	}
	return d.Picture()
}

// eachRun calls tell for each run of columns for which is holds.
func eachRun(columns []column, is func(column) bool, tell func(from, to int)) {
	from := -1
	for i, c := range columns {
		switch {
		case is(c) && from < 0:
			from = i
		case !is(c) && from >= 0:
			tell(from, i)
			from = -1
		}
	}
	if from >= 0 {
		tell(from, len(columns))
	}
}

// drawTrace gathers the trace: from the least to the greatest level of each
// column, reaching to its neighbour, with gaps where the level was not clean.
func drawTrace(d *chart.Drawing, columns []column, shift int, unit float64, scale view.NoiseScale, height float64) {
	half := 0.6 * unit
	for i, c := range columns {
		if c.minimum != c.minimum {
			continue
		}
		low, high := c.minimum, c.maximum
		if i > 0 && columns[i-1].minimum == columns[i-1].minimum {
			low, high = min(low, columns[i-1].maximum), max(high, columns[i-1].minimum)
		}
		x := float64(shift + i)
		top, bottom := scale.Y(float64(high), height)-half, scale.Y(float64(low), height)+half
		top, bottom = max(top, -1), min(bottom, height+1)
		if top >= bottom { // out of a span that was chosen: a tick at the edge
			top, bottom = max(0, min(top, height-2*unit)), max(2*unit, min(bottom, height))
		}
		d.Polygon(chart.Point{X: x, Y: top}, chart.Point{X: x + 1, Y: top}, chart.Point{X: x + 1, Y: bottom},
			chart.Point{X: x, Y: bottom})
	}
}

// Marks of changes, at the lower edge: each its own shape.
func drawMark(d *chart.Drawing, mark uint8, x, height, unit float64) {
	p := widget.Current()
	r, y := 4*unit, height-5*unit
	ink := p.Dim
	switch mark {
	case 1: // trim: a triangle, in the colour of what is wanted
		ink = p.Setpoint
		d.Polygon(chart.Point{X: x - r, Y: y + r}, chart.Point{X: x + r, Y: y + r}, chart.Point{X: x, Y: y - r})
	case 2: // preamplifier: a square
		d.Polygon(chart.Point{X: x - r, Y: y - r}, chart.Point{X: x + r, Y: y - r}, chart.Point{X: x + r, Y: y + r},
			chart.Point{X: x - r, Y: y + r})
	case 3: // noise source: a disc
		d.Disc(chart.Point{X: x, Y: y}, r)
	default: // band: a line from top to bottom
		d.Down(x, 0, height, max(1, int(unit)), ink)
		d.Polygon(chart.Diamond(chart.Point{X: x, Y: y}, r)[:4]...)
	}
	d.Paint(ink)
}
