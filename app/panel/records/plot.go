package records

import (
	"image"
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// plot is the picture of the trends. Dragging moves the time shown, the wheel
// and + and - widen and narrow it, the arrow keys move it, Home goes back to now.
// While a trip is replayed a line stands at its moment: a click, a drag of the line
// or the arrow keys to the left and right move it, Home and End take it to the ends.
type plot struct {
	widget.ArrowControl
	pane   *Pane
	raster *canvas.Raster
	cursor *canvas.Rectangle
	then   *canvas.Rectangle // the moment that is replayed
	taken  bool              // it is being dragged
	frame  *canvas.Rectangle // while it has the keyboard
	object *fyne.Container
	answer answer
	moved  float32 // dragged since it was last looked up
}

func newPlot(pane *Pane) *plot {
	t := &plot{pane: pane, cursor: canvas.NewRectangle(color.Transparent),
		then: canvas.NewRectangle(color.Transparent), frame: canvas.NewRectangle(color.Transparent)}
	t.raster = widget.NewRaster(func(w, h int) image.Image { return draw(t.answer, w, h, chart.PerUnit(w, t.raster)) })
	t.raster.SetMinSize(fyne.NewSize(200, 110))
	t.cursor.Hide()
	t.then.Hide()
	t.object = container.New(plotLayout{t}, t.raster, t.then, t.cursor, t.frame)
	t.Become(t, "records-plot", "Drag to move, wheel or + and − to zoom, arrow keys to move; Home goes back to now")
	return t
}

// plotLayout lets the picture fill the whole; the cursor stays where it is put.
type plotLayout struct{ plot *plot }

// MinSize implements fyne.Layout.
func (l plotLayout) MinSize([]fyne.CanvasObject) fyne.Size { return l.plot.raster.MinSize() }

// Layout implements fyne.Layout.
func (l plotLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	l.plot.raster.Resize(size)
	l.plot.frame.Resize(size)
	l.plot.cursor.Resize(fyne.NewSize(1, size.Height))
	l.plot.then.Resize(fyne.NewSize(thenWidth, size.Height))
	l.plot.mark()
}

// CreateRenderer implements fyne.Widget.
func (t *plot) CreateRenderer() fyne.WidgetRenderer {
	return &plotRenderer{fynewidget.NewSimpleRenderer(t.object), t}
}

type plotRenderer struct {
	fyne.WidgetRenderer
	plot *plot
}

// Refresh implements fyne.WidgetRenderer.
func (r *plotRenderer) Refresh() {
	p := widget.Current()
	r.plot.cursor.FillColor, r.plot.then.FillColor = p.Mark, p.Warning
	r.plot.frame.StrokeColor, r.plot.frame.StrokeWidth = p.Focus, 0
	if r.plot.Focused() {
		r.plot.frame.StrokeWidth = 1.5
	}
	r.plot.frame.Refresh()
	r.plot.cursor.Refresh()
	r.plot.then.Refresh()
}

func (t *plot) show(a answer) {
	t.answer = a
	widget.Redraw(t.raster)
}

// perUnit is the time that one unit of the width stands for.
func (t *plot) perUnit() time.Duration {
	return time.Duration(float64(t.pane.span) / float64(max(1, t.Size().Width)))
}

// at is the moment at a place of the picture.
func (t *plot) at(x float32) time.Time {
	from, _ := t.pane.window()
	return from.Add(time.Duration(float64(x) * float64(t.perUnit())))
}

// The line at the moment that is replayed: its width, and within how much of it the pointer takes hold of it; units.
const (
	thenWidth = 2
	thenReach = 8
)

// place is where a moment stands in the picture.
func (t *plot) place(at time.Time) float32 {
	from, _ := t.pane.window()
	return float32(float64(at.Sub(from)) / float64(t.perUnit()))
}

// mark puts the line at the moment that is replayed; there is none while nothing is, or where the moment isn't shown.
func (t *plot) mark() {
	r := t.pane.replay
	x := float32(-1)
	if r != nil && r.on {
		x = t.place(r.moment)
	}
	if x < 0 || x > t.Size().Width {
		t.then.Hide()
		return
	}
	t.then.Move(fyne.NewPos(x-thenWidth/2, 0))
	if !t.then.Visible() {
		t.then.Show()
	}
}

// replays moves the replay to a place of the picture.
func (t *plot) replays(x float32) {
	t.pane.replay.to(t.at(x))
	t.mark()
}

// Dragged implements fyne.Draggable.
func (t *plot) Dragged(event *fyne.DragEvent) {
	r := t.pane.replay
	if begun := event.Position.X - event.Dragged.DX; r.on && !t.taken && t.moved == 0 {
		t.taken = max(begun-t.place(r.moment), t.place(r.moment)-begun) <= thenReach
	}
	if t.taken && r.on {
		t.replays(event.Position.X)
		return
	}
	t.moved += event.Dragged.DX
	if t.moved > 4 || t.moved < -4 {
		t.pane.shift(-time.Duration(float64(t.moved) * float64(t.perUnit())))
		t.moved = 0
	}
}

// DragEnd implements fyne.Draggable.
func (t *plot) DragEnd() { t.moved, t.taken = 0, false }

// Scrolled implements fyne.Scrollable: the moment under the pointer stays where it is.
func (t *plot) Scrolled(event *fyne.ScrollEvent) {
	if notches := chart.TakeWheel(t.pane.with, t, event); notches != 0 {
		t.pane.zoom(chart.Factor(notches, 1.5), t.at(event.Position.X))
	}
}

// Tapped implements fyne.Tappable: gives the keyboard, and takes a replay there.
func (t *plot) Tapped(event *fyne.PointEvent) {
	t.Focus()
	if t.pane.replay.on {
		t.replays(event.Position.X)
	}
}

// MouseMoved implements desktop.Hoverable: tells the figures of the moment under the pointer.
func (t *plot) MouseMoved(event *desktop.MouseEvent) {
	t.cursor.Move(fyne.NewPos(event.Position.X, 0))
	t.cursor.Show()
	t.pane.tell(t.at(event.Position.X))
}

// MouseOut implements desktop.Hoverable.
func (t *plot) MouseOut() {
	t.Control.MouseOut()
	t.cursor.Hide()
	t.pane.tell(time.Time{})
}

// TypedKey implements fyne.Focusable.
func (t *plot) TypedKey(event *fyne.KeyEvent) {
	if t.pane.replay.on && t.pane.replay.key(event.Name) {
		t.mark()
		return
	}
	switch event.Name {
	case fyne.KeyLeft:
		t.pane.shift(-t.pane.span / 8)
	case fyne.KeyRight:
		t.pane.shift(t.pane.span / 8)
	case fyne.KeyUp:
		t.pane.zoomMiddle(1 / 1.5)
	case fyne.KeyDown:
		t.pane.zoomMiddle(1.5)
	case fyne.KeyHome:
		t.pane.follow()
	default:
		t.Forward(event)
	}
}

// TypedRune implements fyne.Focusable.
func (t *plot) TypedRune(letter rune) {
	switch letter {
	case '+':
		t.pane.zoomMiddle(1 / 1.5)
	case '-', '−':
		t.pane.zoomMiddle(1.5)
	default:
		t.Control.TypedRune(letter)
	}
}
