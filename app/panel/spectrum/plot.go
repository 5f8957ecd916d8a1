package spectrum

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// plot is the spectrum above the waterfall, with their axes. Dragging moves the
// view, the wheel and + and - narrow and widen it at the pointer, the arrows move it and change the level.
type plot struct {
	widget.ArrowControl
	pane   *Pane
	line   *canvas.Raster
	falls  *canvas.Raster
	scale  *canvas.Raster
	cursor *canvas.Rectangle
	frame  [4]*canvas.Rectangle // while it has the keyboard: its sides alone, for what is painted costs by its area
	none   *widget.Text         // why there is nothing to be seen
	labels labels
	object *fyne.Container

	fall    fall
	drawn   *chart.Drawing // the spectrum's, used again for each row
	shown   look           // what the fall was drawn with
	palette string
	moved   float32
	pointer fyne.Position
	over    bool
}

// The parts of the plot, in units of the window.
const (
	leftEdge  = 62 // room of the times
	scaleWide = 6
	strip     = 17 // a line of words
	lineShare = 0.27

	frameThick = 1.5
)

func newPlot(pane *Pane) *plot {
	t := &plot{pane: pane, cursor: canvas.NewRectangle(color.Transparent), labels: newLabels()}
	t.fall.colours = coloursOf(widget.Current())
	t.none = widget.NewText("").Small().Middle().Elastic().Named("spectrum-none")
	t.line = widget.NewRaster(t.drawLine)
	t.falls = widget.NewRaster(t.drawFall)
	t.scale = widget.NewRaster(func(w, h int) image.Image { return drawScale(w, h, &t.fall.colours) })
	objects := append([]fyne.CanvasObject{t.line, t.falls, t.scale, t.none}, t.labels.objects()...)
	objects = append(objects, t.cursor)
	t.cursor.Hide()
	for i := range t.frame {
		t.frame[i] = canvas.NewRectangle(color.Transparent)
		t.frame[i].Hide()
		objects = append(objects, t.frame[i])
	}
	t.object = container.New(plotLayout{t}, objects...)
	t.Become(t, "spectrum-plot",
		"Drag moves the view, the wheel or + and − narrow and widen it; ← → move it, ↑ ↓ change the level, "+
			"Page Up and Page Down the average; Home: all as at first")
	return t
}

// plotLayout puts the parts into their places.
type plotLayout struct{ plot *plot }

// MinSize implements fyne.Layout.
func (plotLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

// Layout implements fyne.Layout.
func (l plotLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	t := l.plot
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(max(0, w), max(0, h)))
	}
	wide := size.Width - leftEdge
	high := float32(int((size.Height - 2*strip) * lineShare))
	put(t.line, leftEdge, 0, wide, high)
	put(t.scale, leftEdge-scaleWide, 0, scaleWide, high)
	put(t.falls, leftEdge, high+strip, wide, size.Height-high-2*strip)
	put(t.none, leftEdge, high+strip+(size.Height-high-2*strip)/2-strip, wide, strip)
	put(t.frame[0], 0, 0, size.Width, frameThick)
	put(t.frame[1], 0, size.Height-frameThick, size.Width, frameThick)
	put(t.frame[2], 0, 0, frameThick, size.Height)
	put(t.frame[3], size.Width-frameThick, 0, frameThick, size.Height)
	put(t.cursor, t.cursor.Position().X, 0, 1, size.Height-strip)
	t.labels.arrange(t)
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
	p, t := widget.Current(), r.plot
	t.cursor.FillColor = p.Focus
	for _, side := range t.frame {
		side.FillColor, side.Hidden = p.Focus, !t.Focused()
		side.Refresh()
	}
	t.cursor.Refresh()
	if t.palette != p.Name {
		t.palette = p.Name
		t.fall.picture, t.fall.colours = nil, coloursOf(p)
		widget.Redraw(t.scale)
		widget.Redraw(t.line)
		widget.Redraw(t.falls)
	}
}

// drawFall is the waterfall's picture: drawn from all rows only where size, view, level or palette changed.
func (t *plot) drawFall(w, h int) image.Image {
	rows := &t.pane.rows
	if f := t.fall.picture; f == nil || f.Bounds().Dx() != w || f.Bounds().Dy() != h || t.shown != t.pane.look {
		t.shown = t.pane.look
		v := rows.View()
		t.fall.resize(w, h, columnsFor(w, v, rows.FirstHz(), rows.BinHz(), rows.Bins()))
		t.fall.add(rows.Rows(), tops[t.pane.look.top])
	}
	return t.fall.picture
}

// drawLine is the spectrum's picture.
func (t *plot) drawLine(w, h int) image.Image {
	p, rows := t.pane, &t.pane.rows
	v := rows.View()
	columns := columnsFor(w, v, rows.FirstHz(), rows.BinHz(), max(1, len(p.mean)))
	t.drawn = t.drawn.Again(w, h)
	return drawLine(t.drawn, chart.PerUnit(w, t.line), p.mean, columns, v, tops[p.look.top], p.marks)
}

// add shows rows that are new.
func (t *plot) add(made int) {
	if t.fall.picture != nil && t.shown == t.pane.look {
		all := t.pane.rows.Rows()
		t.fall.add(all[max(0, len(all)-made):], tops[t.pane.look.top])
	}
	widget.Redraw(t.line)
	widget.Redraw(t.falls)
	t.labels.times(t)
}

// again redraws everything, for another look.
func (t *plot) again() {
	t.labels.arrange(t)
	widget.Redraw(t.line)
	widget.Redraw(t.falls)
}

// hz is the audio frequency at a place.
func (t *plot) hz(x float32) float64 {
	v := t.pane.look.view()
	return v.LowHz + float64((x-leftEdge)/max(1, t.line.Size().Width))*(v.HighHz-v.LowHz)
}

// row is the row at a place of the waterfall, counted from the newest; false elsewhere.
func (t *plot) row(y float32) (back int, ok bool) {
	top := t.falls.Position().Y
	if t.fall.picture == nil || y < top || y >= top+t.falls.Size().Height {
		return 0, false
	}
	return int(float64(y-top) * chart.PerUnit(t.fall.picture.Bounds().Dx(), t.falls)), true
}

// Dragged implements fyne.Draggable.
func (t *plot) Dragged(event *fyne.DragEvent) {
	t.moved += event.Dragged.DX
	if t.moved > 4 || t.moved < -4 {
		t.pane.take(t.pane.look.shifted(-float64(t.moved / max(1, t.line.Size().Width))))
		t.moved = 0
	}
}

// DragEnd implements fyne.Draggable.
func (t *plot) DragEnd() { t.moved = 0 }

// Scrolled implements fyne.Scrollable: the frequency under the pointer stays where it is.
func (t *plot) Scrolled(event *fyne.ScrollEvent) {
	if notches := chart.TakeWheel(t.pane.with, t, event); notches != 0 {
		t.pane.take(t.pane.look.narrower(notches, t.hz(event.Position.X)))
	}
}

// Tapped implements fyne.Tappable: gives the keyboard.
func (t *plot) Tapped(*fyne.PointEvent) { t.Focus() }

// MouseMoved implements desktop.Hoverable: tells the figures under the pointer.
func (t *plot) MouseMoved(event *desktop.MouseEvent) {
	t.pointer, t.over = event.Position, event.Position.X >= leftEdge
	if t.over {
		t.cursor.Move(fyne.NewPos(event.Position.X, 0))
		t.cursor.Show()
	} else {
		t.cursor.Hide()
	}
	t.pane.tell()
}

// MouseOut implements desktop.Hoverable.
func (t *plot) MouseOut() {
	t.Control.MouseOut()
	t.over = false
	t.cursor.Hide()
	t.pane.tell()
}

// TypedKey implements fyne.Focusable.
func (t *plot) TypedKey(event *fyne.KeyEvent) {
	l := t.pane.look
	switch event.Name {
	case fyne.KeyLeft:
		l = l.shifted(-0.125)
	case fyne.KeyRight:
		l = l.shifted(0.125)
	case fyne.KeyUp:
		l = l.higher(1)
	case fyne.KeyDown:
		l = l.higher(-1)
	case fyne.KeyPageUp:
		l = l.longer(1)
	case fyne.KeyPageDown:
		l = l.longer(-1)
	case fyne.KeyHome:
		l = usualLook()
	default:
		t.Forward(event)
		return
	}
	t.pane.take(l)
}

// TypedRune implements fyne.Focusable.
func (t *plot) TypedRune(letter rune) {
	l := t.pane.look
	if notches := chart.NotchesOf(letter); notches != 0 {
		t.pane.take(l.narrower(notches, float64(l.middle)))
		return
	}
	t.Control.TypedRune(letter)
}
