package spectrum

import (
	"image"
	"image/color"
	"math"

	"beamhelm/app/audio/spectrum"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// fall is the waterfall as a picture: one row a pixel, the newest at the top. What is
// there moves down by copying; only rows that are new are drawn.
type fall struct {
	colours [256]color.RGBA
	picture *image.RGBA
	// columns are the first and the last bin of each pixel column.
	columns [][2]int
	drawn   int // rows of the picture that hold something
}

// columnsFor are the bins of each of w pixel columns: at least one each.
func columnsFor(w int, v spectrum.View, firstHz, binHz float64, bins int) [][2]int {
	columns := make([][2]int, w)
	perPixel := (v.HighHz - v.LowHz) / float64(w)
	for x := range columns {
		from := (v.LowHz + float64(x)*perPixel - firstHz) / binHz
		first := int(math.Round(from))
		last := max(first, int(math.Round(from+perPixel/binHz))-1)
		columns[x] = [2]int{max(0, min(first, bins-1)), max(0, min(last, bins-1))}
	}
	return columns
}

// most is the greatest of a row in a column, dB: a narrow line must not fall between two pixels.
func maximum(over []float32, column [2]int) float64 {
	best := over[column[0]]
	for _, v := range over[column[0]+1 : max(column[1], column[0])+1] {
		best = max(best, v)
	}
	return spectrum.Decibels(best)
}

// resize makes a new picture where its size or the view changed; the rows have to be added again.
func (f *fall) resize(w, h int, columns [][2]int) {
	f.picture, f.columns, f.drawn = image.NewRGBA(image.Rect(0, 0, max(1, w), max(1, h))), columns, 0
	ground := widget.Current().Well
	for i := 0; i < len(f.picture.Pix); i += 4 {
		copy(f.picture.Pix[i:], []byte{ground.R, ground.G, ground.B, 255})
	}
}

// add adds rows, oldest first.
func (f *fall) add(rows []spectrum.Row, top float64) {
	h := f.picture.Bounds().Dy()
	if len(rows) > h {
		rows = rows[len(rows)-h:]
	}
	stride := f.picture.Stride
	copy(f.picture.Pix[len(rows)*stride:], f.picture.Pix[:(h-len(rows))*stride])
	for i := range rows {
		y := len(rows) - 1 - i
		f.row(f.picture.Pix[y*stride:(y+1)*stride], &rows[i], top)
	}
	f.drawn = min(h, f.drawn+len(rows))
}

// row draws one row: sending in the colour of transmitting, and a line where something is missing before it.
func (f *fall) row(pixels []byte, row *spectrum.Row, top float64) {
	p := widget.Current()
	plain := p.Well
	switch {
	case row.Gap:
		plain = p.Mark
	case row.Sending:
		plain = p.Transmit
	}
	scale := 255 / (top - bottomDB)
	for x, column := range f.columns {
		c := color.RGBA{plain.R, plain.G, plain.B, 255}
		if row.Over != nil && !row.Gap && !row.Sending {
			c = f.colours[int(max(0, min(255, (maximum(row.Over, column)-bottomDB)*scale)))]
		}
		pixels[4*x], pixels[4*x+1], pixels[4*x+2], pixels[4*x+3] = c.R, c.G, c.B, 255
	}
}

// drawLine draws the spectrum, an area with a bright edge, over grid lines and the places of the marks.
func drawLine(d *chart.Drawing, unit float64, over []float32, columns [][2]int, v spectrum.View, top float64,
	marks []view.AudioMark) image.Image {
	p := widget.Current()
	w, h := d.Picture().Bounds().Dx(), d.Picture().Bounds().Dy()
	d.FillAll(p.Well)
	thick := max(1, int(unit+0.5))
	x := func(hz float64) float64 { return (hz - v.LowHz) / (v.HighHz - v.LowHz) * float64(w) }
	y := func(level float64) float64 { return float64(h) * (1 - (level-bottomDB)/(top-bottomDB)) }
	for _, m := range marks {
		half := max(x(v.LowHz+m.WidthHz)/2, 1.5*unit)
		d.Fill(image.Rect(int(x(m.Hz)-half), 0, int(math.Ceil(x(m.Hz)+half)), h), widget.Fade(markInk(p, m), 0.35))
	}
	for step, hz := frequencyTicks(v); hz <= v.HighHz; hz += step {
		d.Down(x(hz), 0, float64(h), thick, p.Line)
	}
	for step, level := tickStep(top, 3), 0.0; level < top; level += step {
		d.Across(0, float64(w), y(level), thick, p.Line)
	}
	picture := d.Picture()
	if len(over) > 0 && len(columns) == w {
		drawArea(picture, over, columns, y, p.Measured)
	}
	for _, m := range marks {
		drawMark(d, x(m.Hz), float64(w), unit, markInk(p, m), m.Own)
	}
	return picture
}

// drawArea draws the levels, and their edge from each column to the next.
func drawArea(picture *image.RGBA, over []float32, columns [][2]int, y func(float64) float64, ink color.NRGBA) {
	const share = 60 // of the ink in 255, below the edge
	var mixed [3][256]uint8
	for c, v := range [3]uint8{ink.R, ink.G, ink.B} {
		for under := range mixed[c] {
			mixed[c][under] = uint8((uint32(v)*share + uint32(under)*(255-share)) / 255)
		}
	}
	h := picture.Bounds().Dy()
	before := -1
	for i, column := range columns {
		at := max(0, min(h-1, int(y(maximum(over, column)))))
		from, to := at, at
		if before >= 0 {
			from, to = min(at, before), max(at, before)
		}
		before = at
		for row := from; row < h; row++ {
			pixel := picture.Pix[row*picture.Stride+4*i:][:3]
			if row <= to {
				pixel[0], pixel[1], pixel[2] = ink.R, ink.G, ink.B
				continue
			}
			pixel[0], pixel[1], pixel[2] = mixed[0][pixel[0]], mixed[1][pixel[1]], mixed[2][pixel[2]]
		}
	}
}

// markInk is the colour of a mark.
func markInk(p *widget.Palette, m view.AudioMark) color.NRGBA {
	if m.Own {
		return p.Moon
	}
	return p.Setpoint
}

// drawMark draws where a mark points: a triangle for the own echo, a diamond for the partner; at
// the edge, pointing outwards, where it lies out of view.
func drawMark(d *chart.Drawing, x, w, unit float64, ink color.NRGBA, own bool) {
	r := 5 * unit
	switch {
	case x < 0:
		d.Polygon(chart.Point{X: 1, Y: r}, chart.Point{X: 1 + 1.6*r, Y: 0}, chart.Point{X: 1 + 1.6*r, Y: 2 * r})
	case x > w:
		d.Polygon(chart.Point{X: w - 1, Y: r}, chart.Point{X: w - 1 - 1.6*r, Y: 0},
			chart.Point{X: w - 1 - 1.6*r, Y: 2 * r})
	case own:
		d.Polygon(chart.Point{X: x - r, Y: 0}, chart.Point{X: x + r, Y: 0}, chart.Point{X: x, Y: 1.6 * r})
	default:
		d.Polygon(chart.Diamond(chart.Point{X: x, Y: r}, r)[:4]...)
	}
	d.Paint(ink)
}

// frequencyTicks are the first tick of a view and the step to the next.
func frequencyTicks(v spectrum.View) (step, first float64) {
	step = tickStep(v.HighHz-v.LowHz, 6)
	return step, math.Ceil(v.LowHz/step) * step
}

// drawScale draws the colours from the lowest at the bottom to the highest.
func drawScale(w, h int, colours *[256]color.RGBA) image.Image {
	picture := image.NewRGBA(image.Rect(0, 0, w, h))
	for row := range h {
		c := colours[255-row*255/max(1, h-1)]
		for x := range w {
			picture.SetRGBA(x, row, c)
		}
	}
	return picture
}
