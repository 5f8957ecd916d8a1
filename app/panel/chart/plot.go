package chart

import (
	"image"
	"image/color"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Plot shows a view.Plot: figures and units beside it, what is under the pointer or the cursor in words above it. The
// wheel and + and − zoom, dragging moves, Home shows all again; E or the second button writes picture or table.
type Plot struct {
	object   fyne.CanvasObject
	title    *widget.Text
	none     *widget.Text
	area     *area
	labelled *Labelled
	with     widget.Context
	name     string
	shown    view.Plot
	seen     Span    // what is shown of it
	at       float64 // where it is read out; NaN: nowhere
}

// NewPlot returns an empty plot; name is that of its controls.
func NewPlot(with widget.Context, name string) *Plot {
	p := &Plot{with: with, name: name, at: math.NaN(), title: widget.NewLabel("").Elastic().Named(name + "-readout"),
		none: widget.NewLabel("").Middle()}
	p.area = newArea(p)
	p.labelled = NewLabelled(p.area)
	p.object = widget.Column(0, widget.Fixed(p.title), widget.Sharing(p.labelled.Object()))
	return p
}

// Flat lets the plot be very low where there is little room; it returns the plot.
func (p *Plot) Flat() *Plot {
	p.area.raster.SetMinSize(fyne.NewSize(100, 18))
	return p
}

// Object returns the plot with all that belongs to it.
func (p *Plot) Object() fyne.CanvasObject { return p.object }

// Show shows something else, or the same as it is now: what was zoomed stays where it is while that is there.
func (p *Plot) Show(shown view.Plot) {
	whole := p.seen == Span{p.shown.Left, p.shown.Right}
	p.shown = shown
	if whole || p.seen.From >= shown.Right || p.seen.To <= shown.Left {
		p.seen = Span{shown.Left, shown.Right}
	}
	p.none.SetWords("")
	if !shown.Has() {
		p.none.SetWords(shown.None)
	}
	p.again()
}

// Whole shows all of it.
func (p *Plot) Whole() { p.look(Span{p.shown.Left, p.shown.Right}) }

// zoom widens or narrows what is shown about a place, by notches of the wheel.
func (p *Plot) zoom(notches int, about float64) {
	p.look(p.seen.Zoomed(Factor(notches, zoomStep), about))
}

// maxZoom is how far it can be zoomed, zoomStep by how much one notch of the wheel does.
const (
	maxZoom  = 200
	zoomStep = 1.5
)

// look shows a part, within what there is.
func (p *Plot) look(part Span) {
	if !p.shown.Has() {
		return
	}
	p.seen = part.Within(Span{p.shown.Left, p.shown.Right}, maxZoom)
	p.again()
}

func (p *Plot) again() {
	p.labelled.ShowAt(p.ticks(), p.scale())
	widget.Redraw(p.area.raster)
	p.tell()
}

func (p *Plot) scale() Scale { return Scale{Low: p.shown.Low, High: p.shown.High} } // its unit is in the title

func (p *Plot) ticks() []Tick {
	if !p.shown.Has() {
		return nil
	}
	if p.shown.Dates {
		return Moments(view.UnixTime(p.seen.From), view.UnixTime(p.seen.To))
	}
	return Figures(p.seen.From, p.seen.To, p.shown.XUnit)
}

// keysWords say what the keys do, while the plot has the keyboard.
const keysWords = "Arrows read, + and − zoom, Home: all, E: to a file"

// tell says what is drawn, or what is at the cursor.
func (p *Plot) tell() {
	if !p.shown.Has() || !(p.at >= p.seen.From && p.at <= p.seen.To) {
		p.area.cursor.Hide()
		words := p.shown.Title
		if p.area.Focused() {
			words = keysWords
		}
		if p.shown.Unit != "" && !p.area.Focused() {
			words += ", " + p.shown.Unit
		}
		p.title.Set(words, view.Faint)
		return
	}
	x := p.seen.Part(p.at) * float64(p.area.Size().Width)
	p.area.cursor.Move(fyne.NewPos(float32(math.Round(x)), 0))
	p.area.cursor.Show()
	p.title.Set(p.shown.ReadOut(p.at), view.Measured)
}

// read puts the cursor at the point nearest to a place.
func (p *Plot) read(at float64, ok bool) {
	if p.at = math.NaN(); ok {
		p.at = at
	}
	p.tell()
}

// step moves the cursor by a point, from the left edge or the right one at first.
func (p *Plot) step(by int) {
	from := p.at
	if math.IsNaN(from) {
		from = p.seen.From
		if by < 0 {
			from = p.seen.To
		}
	}
	if at, ok := p.shown.Beside(from, by); ok {
		if p.at = at; at < p.seen.From || at > p.seen.To {
			p.look(p.seen.Moved(at - p.seen.At(0.5)))
		}
		p.tell()
	}
}

// openSave asks where to write picture or table.
func (p *Plot) openSave() {
	if !p.shown.Has() {
		return
	}
	p.read(0, false)
	picture, shown := widget.Picture(p.object), p.shown
	file := "beamhelm-" + strings.ReplaceAll(view.Name(shown.Title), ",", "")
	save.Ask(p.with, p.name, shown.Title+", in a file", file, []save.Form{
		save.PNG(p.name+"-png", picture),
		{Words: "Table, CSV", Name: p.name + "-csv", Tip: "What is drawn as a table, RFC 4180", Ending: ".csv",
			Body: shown.Table},
	}, func(words string) { p.title.Set(view.Sentence(words), view.Plain) })
}

// area is the plot itself.
type area struct {
	widget.ArrowControl
	plot   *Plot
	raster *canvas.Raster
	cursor *canvas.Rectangle
	frame  *canvas.Rectangle // while it has the keyboard
	whole  *fyne.Container
}

func newArea(p *Plot) *area {
	a := &area{plot: p, cursor: canvas.NewRectangle(color.Transparent),
		frame: canvas.NewRectangle(color.Transparent)}
	a.raster = widget.NewRaster(func(w, h int) image.Image { return p.Draw(w, h, PerUnit(w, a.raster)) })
	a.raster.SetMinSize(fyne.NewSize(100, 40))
	a.cursor.Hide()
	a.whole = container.New(areaLayout{a}, a.raster, a.cursor, a.frame, p.none)
	a.Become(a, p.name, "Wheel or + and − zoom, drag to move, Home for all; arrow keys read it point by point; "+
		"E or the second button: picture or table in a file")
	return a
}

type areaLayout struct{ *area }

// MinSize implements fyne.Layout.
func (l areaLayout) MinSize([]fyne.CanvasObject) fyne.Size { return l.raster.MinSize() }

// Layout implements fyne.Layout.
func (l areaLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	l.raster.Resize(size)
	l.frame.Resize(size)
	l.cursor.Resize(fyne.NewSize(1, size.Height))
	none := l.plot.none
	none.Resize(fyne.NewSize(size.Width, none.MinSize().Height))
	none.Move(fyne.NewPos(0, float32(int((size.Height-none.MinSize().Height)/2))))
	l.plot.tell()
}

// CreateRenderer implements fyne.Widget.
func (a *area) CreateRenderer() fyne.WidgetRenderer {
	return &areaRenderer{fynewidget.NewSimpleRenderer(a.whole), a}
}

type areaRenderer struct {
	fyne.WidgetRenderer
	area *area
}

// Refresh implements fyne.WidgetRenderer.
func (r *areaRenderer) Refresh() {
	a, ink := r.area, widget.Current()
	a.cursor.FillColor = ink.Mark
	a.frame.StrokeColor, a.frame.StrokeWidth = ink.Focus, 0
	if a.Focused() {
		a.frame.StrokeWidth = 1.5
	}
	a.frame.Refresh()
	a.cursor.Refresh()
	a.plot.tell()
}

// place is where x of the area is.
func (a *area) place(x float32) float64 {
	return a.plot.seen.At(float64(x / max(1, a.Size().Width)))
}

// MouseIn implements desktop.Hoverable: without the tooltip, which would cover what is read.
func (a *area) MouseIn(event *desktop.MouseEvent) { a.MouseMoved(event) }

// MouseMoved implements desktop.Hoverable.
func (a *area) MouseMoved(event *desktop.MouseEvent) {
	a.plot.read(a.plot.shown.Nearest(a.place(event.Position.X)))
}

// MouseOut implements desktop.Hoverable.
func (a *area) MouseOut() {
	a.Control.MouseOut()
	a.plot.read(0, false)
}

// Scrolled implements fyne.Scrollable: the place under the pointer stays where it is.
func (a *area) Scrolled(event *fyne.ScrollEvent) {
	a.plot.zoom(TakeWheel(a.plot.with, a, event), a.place(event.Position.X))
}

// Dragged implements fyne.Draggable.
func (a *area) Dragged(event *fyne.DragEvent) {
	a.plot.look(a.plot.seen.Moved(a.plot.seen.From - a.place(event.Dragged.DX)))
}

// DragEnd implements fyne.Draggable.
func (a *area) DragEnd() {}

// Tapped implements fyne.Tappable: gives the keyboard.
func (a *area) Tapped(*fyne.PointEvent) { a.Focus() }

// TappedSecondary implements fyne.SecondaryTappable.
func (a *area) TappedSecondary(*fyne.PointEvent) { a.plot.openSave() }

// TypedKey implements fyne.Focusable.
func (a *area) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyLeft:
		a.plot.step(-1)
	case fyne.KeyRight:
		a.plot.step(1)
	case fyne.KeyUp:
		a.plot.zoom(1, a.middle())
	case fyne.KeyDown:
		a.plot.zoom(-1, a.middle())
	case fyne.KeyHome:
		a.plot.Whole()
	default:
		a.Forward(event)
	}
}

// middle is the cursor, or the middle of what is shown.
func (a *area) middle() float64 {
	if at := a.plot.at; at >= a.plot.seen.From && at <= a.plot.seen.To {
		return at
	}
	return a.plot.seen.At(0.5)
}

// TypedRune implements fyne.Focusable.
func (a *area) TypedRune(letter rune) {
	switch notches := NotchesOf(letter); {
	case notches != 0:
		a.plot.zoom(notches, a.middle())
	case letter == 'e' || letter == 'E':
		a.plot.openSave()
	default:
		a.Control.TypedRune(letter)
	}
}

// Span is what is shown of the plot, from its left to its right edge.
func (p *Plot) Span() (left, right float64) { return p.seen.From, p.seen.To }
