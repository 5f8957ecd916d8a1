package health

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// row is what is drawn of one reading.
type row struct {
	name, figure, unit, crossed *widget.Text
	ground                      *canvas.Rectangle
	trace, band                 *canvas.Raster
	rule                        *canvas.Rectangle

	line    view.ReadingLine
	scale   view.Scale
	width   float64 // of the scale, in the reading's unit
	history *history
	words   bool // a state, not a figure
}

func newRow(history *history) *row {
	r := &row{
		name:    widget.NewText("").Small().Elastic(),
		figure:  widget.NewText("").Bold().Right(),
		unit:    widget.NewLabel(""),
		crossed: widget.NewText("").Small().Right().Elastic(),
		ground:  canvas.NewRectangle(color.Transparent),
		rule:    canvas.NewRectangle(color.Transparent),
		history: history,
	}
	r.ground.CornerRadius = 3
	r.trace = canvas.NewRaster(func(w, h int) image.Image {
		return drawTrace(r.history, r.width, r.ink(widget.Current().Mark), w, h)
	})
	r.band = canvas.NewRaster(func(w, h int) image.Image {
		p := widget.Current()
		return drawBand(r.scale, p, r.ink(p.Is), w, h)
	})
	return r
}

// ink is the colour of the row's drawing: its warning's, or the given one.
func (r *row) ink(otherwise color.NRGBA) color.NRGBA {
	p := widget.Current()
	if r.line.Tone == view.Old {
		return p.Old
	}
	if r.line.Grade >= desk.Warning {
		return p.Tint(view.GradeTone(r.line.Grade, view.Plain))
	}
	return otherwise
}

func (r *row) objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.rule, r.name, r.figure, r.unit, r.crossed, r.trace, r.band}
}

// show brings the row up to date; newColumn says that the sparkline has moved on.
func (r *row) show(line view.ReadingLine, reading desk.Reading, newColumn bool) {
	changed := line.Tone != r.line.Tone || line.Grade != r.line.Grade
	r.line = line
	name := line.Tone
	if name == view.Plain {
		name = view.Faint
	}
	r.name.Set(line.Name, name)
	r.figure.Set(line.Figure, line.Tone)
	r.unit.SetWords(line.Unit)
	r.crossed.Set(line.Crossed, line.Tone)
	r.words = reading.Words != ""
	r.width = reading.High - reading.Low
	scale := view.ScaleOf(reading)
	if changed || moved(scale, r.scale) {
		r.scale = scale
		r.band.Refresh()
	}
	if changed || newColumn {
		r.trace.Refresh()
	}
	if changed {
		r.tint()
	}
}

// moved says whether two scales look different: by half a hundredth of the width.
func moved(a, b view.Scale) bool {
	const visible = 0.005
	differs := func(x, y float64) bool { return x-y > visible || y-x > visible || (x != x) != (y != y) }
	return differs(a.At, b.At) || differs(a.From, b.From) || differs(a.To, b.To)
}

// tint colours the ground of a reading that is out of its band.
func (r *row) tint() {
	p := widget.Current()
	r.ground.FillColor = color.Transparent
	if r.line.Grade >= desk.Warning {
		r.ground.FillColor = widget.Fade(r.ink(p.Mark), 0.16)
	}
	r.rule.FillColor = p.Line
	r.ground.Refresh()
	r.rule.Refresh()
}

// Widths in a row, in units.
const (
	figureWidth = 58
	unitWidth   = 38
	thinGap     = 6
)

// place lays the row out. In a narrow one the sparkline stands over the band.
func (r *row) place(x, y, width, height float32, narrow bool) {
	set := func(object fyne.CanvasObject, x, y, width, height float32) {
		object.Move(fyne.NewPos(float32(int(x)), float32(int(y))))
		object.Resize(fyne.NewSize(float32(int(width)), float32(int(height))))
	}
	set(r.ground, x-4, y, width+8, height-1)
	set(r.rule, x, y+height-1, width, 1)
	chart := float32(38)
	if !narrow {
		chart = (width - 320) / 2
		chart = 2*max(62, min(chart+62, 110)) + thinGap
	}
	name := width - figureWidth - unitWidth - chart - 3*thinGap
	set(r.name, x, y, name, height-1)
	figure := x + name + thinGap
	set(r.unit, figure+figureWidth+4, y, unitWidth, height-1)
	at := figure + figureWidth + unitWidth + 2*thinGap
	if r.words { // a state may take the place of figure and unit
		set(r.figure, figure, y, figureWidth+unitWidth+thinGap, height-1)
	} else {
		set(r.figure, figure, y, figureWidth, height-1)
	}
	r.charts(at, y, chart, height, narrow, set)
}

// charts lays out the sparkline, the band and the limit crossed.
func (r *row) charts(x, y, width, height float32, narrow bool, set func(fyne.CanvasObject, float32, float32, float32, float32)) {
	crossed := r.line.Crossed != ""
	gone := fyne.NewPos(0, -1000)
	if r.words {
		r.trace.Move(gone)
		r.band.Move(gone)
		r.crossed.Move(gone)
		return
	}
	switch {
	case narrow && crossed:
		set(r.crossed, x-unitWidth, y, width+unitWidth, height-1)
		r.unit.Move(gone)
		r.trace.Move(gone)
		r.band.Move(gone)
	case narrow:
		set(r.trace, x, y+1, width, height-8)
		set(r.band, x, y+height-7, width, 5)
		r.crossed.Move(gone)
	case crossed:
		half := (width - thinGap) / 2
		set(r.trace, x, y+2, half, height-5)
		set(r.crossed, x+half+thinGap, y, half, height-1)
		r.band.Move(gone)
	default:
		half := (width - thinGap) / 2
		bar := min(12, height-6)
		set(r.trace, x, y+2, half, height-5)
		set(r.band, x+half+thinGap, y+(height-1-bar)/2, half, bar)
		r.crossed.Move(gone)
	}
}
