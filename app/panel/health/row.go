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
	ground, rule                *widget.Ground
	trace, band                 *canvas.Raster

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
		rule:    widget.NewGround(func(p *widget.Palette) color.NRGBA { return p.Line }, 0),
		history: history,
	}
	r.ground = widget.NewGround(r.groundColour, 3)
	r.trace = widget.NewRaster(func(w, h int) image.Image {
		if r.words {
			return drawStates(r.history, widget.Current(), w, h)
		}
		return drawTrace(r.history, r.width, r.ink(widget.Current().Mark), w, h)
	})
	r.band = widget.NewRaster(func(w, h int) image.Image {
		p := widget.Current()
		return drawBand(r.scale, p, r.ink(p.Measured), w, h)
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

// show brings the row up to date; newColumn says that the sparkline has moved on. It returns the pictures that have to
// be drawn again.
func (r *row) show(line view.ReadingLine, reading desk.Reading, newColumn bool) (stale []*canvas.Raster) {
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
	r.words = reading.Words.Code != ""
	r.width = reading.High - reading.Low
	scale := view.ScaleOf(reading)
	if changed || moved(scale, r.scale) {
		r.scale = scale
		stale = append(stale, r.band)
	}
	if changed || newColumn {
		stale = append(stale, r.trace)
	}
	return stale
}

// moved says whether two scales look different: by half a hundredth of the width.
func moved(a, b view.Scale) bool {
	const visible = 0.005
	differs := func(x, y float64) bool { return x-y > visible || y-x > visible || (x != x) != (y != y) }
	for i := range a.Limits {
		if differs(a.Limits[i], b.Limits[i]) {
			return true
		}
	}
	return differs(a.At, b.At) || differs(a.From, b.From) || differs(a.To, b.To)
}

// groundColour marks a reading that is out of its band.
func (r *row) groundColour(p *widget.Palette) color.NRGBA {
	if r.line.Grade >= desk.Warning {
		return widget.Fade(r.ink(p.Mark), 0.16)
	}
	return color.NRGBA{}
}

// Widths in a row, in units.
const (
	nameWidth   = 176 // what is left goes to the charts
	figureWidth = 48
	unitWidth   = 36
	thinGap     = 6
	minRuled    = 16 // height of a row
	minScale    = 24 // width of a scale beside the limit that is crossed
	stateFrom   = 76 // where the words of a state may begin
)

// place lays the row out.
func (r *row) place(x, y, width, height float32) {
	half := max(50, min((width-nameWidth-figureWidth-unitWidth-4*thinGap)/2, 120))
	name := width - figureWidth - unitWidth - 2*half - 4*thinGap
	figure := x + name + thinGap
	trace := figure + figureWidth + unitWidth + 2*thinGap
	band := trace + half + thinGap

	place(r.ground, x-4, y, width+8, height-1)
	place(r.rule, x, y+height-1, width, 1)
	if height < minRuled {
		widget.Away(r.rule) // it would run through the words
	}
	place(r.name, x, y, name, height-1)
	if r.words { // a state, and when it changed
		place(r.figure, x+stateFrom, y, trace-thinGap-x-stateFrom, height-1)
		place(r.trace, trace, y+2, 2*half+thinGap, height-5)
		widget.Away(r.unit, r.band, r.crossed)
		return
	}
	words := float32(figureWidth)
	if r.line.Unit == "" { // of no figure: the place of the unit is free
		words = max(words, min(r.figure.WholeWidth(), figureWidth+4+unitWidth))
	}
	place(r.figure, figure, y, words, height-1)
	place(r.unit, figure+figureWidth+4, y, unitWidth, height-1)
	bar, right := min(12, height-6), band+half
	if r.line.Crossed != "" { // in place of the trace, which a click opens, and of as much of the scale as it takes
		words := max(half, min(r.crossed.WholeWidth(), right-trace-thinGap-minScale))
		place(r.crossed, trace, y, words, height-1)
		widget.Away(r.trace)
		band = trace + words + thinGap
	}
	place(r.band, band, y+(height-1-bar)/2, right-band, bar)
	if r.line.Crossed != "" {
		return
	}
	place(r.trace, trace, y+2, half, height-5)
	widget.Away(r.crossed)
}
