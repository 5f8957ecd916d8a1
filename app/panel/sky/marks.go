package sky

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"image/color"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// markSide is the side of a body's mark in units, odd so that it has a middle.
const markSide = 23

// mark is a body drawn in the panorama: a small raster that is moved.
type mark struct {
	raster *canvas.Raster
	kind   desk.BodyKind
	faint  bool
	target bool
}

func newMark() *mark {
	m := &mark{}
	m.raster = chart.NewMark(markSide, m.draw)
	return m
}

// show puts the mark in its place, and draws it again when it is another one.
func (m *mark) show(of view.SkyMark, at fyne.Position) {
	if m.kind != of.Kind || m.faint == of.Chosen || m.target != of.Target {
		m.kind, m.faint, m.target = of.Kind, !of.Chosen, of.Target
		widget.Redraw(m.raster)
	}
	m.raster.Move(at.SubtractXY(markSide/2, markSide/2))
	m.raster.Show()
}

func (m *mark) draw(d *chart.Drawing, w, h, unit float64) {
	p := widget.Current()
	ink := chart.BodyInk(p, m.kind)
	if m.faint {
		ink = widget.Fade(ink, 0.5)
	}
	middle := chart.Point{X: w / 2, Y: h / 2}
	switch m.kind {
	case desk.Moon:
		radius := 5.5
		if m.target {
			radius = 7
		}
		d.Disc(middle, radius*unit)
	case desk.Sun:
		d.Disc(middle, 8*unit)
		d.Paint(p.Well)
		d.Ring(middle, 6.5*unit, 1.8*unit)
		d.Disc(middle, 1.8*unit)
	case desk.Fixed:
		d.Line(square(middle, 4.5*unit), 1.6*unit)
	default:
		d.Polygon(chart.Diamond(middle, 6*unit)...)
		d.Paint(p.Well)
		d.Line(chart.Diamond(middle, 5*unit), 1.5*unit)
	}
	d.Paint(ink)
}

func square(c chart.Point, r float64) []chart.Point {
	return []chart.Point{{X: c.X - r, Y: c.Y - r}, {X: c.X + r, Y: c.Y - r}, {X: c.X + r, Y: c.Y + r},
		{X: c.X - r, Y: c.Y + r}, {X: c.X - r, Y: c.Y - r}}
}

// The cross-hair, in units: strokes on four sides of a gap.
const (
	crossGap     = 12
	crossStroke  = 9
	setpointSide = 25
)

// hair is the beam's cross-hair: four strokes, and two lines to the edges of
// the plot where the sliders are.
type hair struct {
	strokes [4]*canvas.Rectangle
	down    *canvas.Rectangle
	right   *canvas.Rectangle
}

func newHair() *hair {
	h := &hair{down: canvas.NewRectangle(color.Transparent), right: canvas.NewRectangle(color.Transparent)}
	for i := range h.strokes {
		h.strokes[i] = canvas.NewRectangle(color.Transparent)
	}
	return h
}

// lines are drawn beneath the marks, the strokes above.
func (h *hair) lines() []fyne.CanvasObject { return []fyne.CanvasObject{h.down, h.right} }
func (h *hair) cross() []fyne.CanvasObject {
	return []fyne.CanvasObject{h.strokes[0], h.strokes[1], h.strokes[2], h.strokes[3]}
}

// show places the cross-hair. Resizing is what costs: only the lines change their length.
func (h *hair) show(at fyne.Position, size fyne.Size) {
	x, y := at.X, at.Y
	h.strokes[0].Move(fyne.NewPos(x-1, y-crossGap-crossStroke))
	h.strokes[1].Move(fyne.NewPos(x-1, y+crossGap))
	h.strokes[2].Move(fyne.NewPos(x-crossGap-crossStroke, y-1))
	h.strokes[3].Move(fyne.NewPos(x+crossGap, y-1))
	for i, stroke := range h.strokes {
		if i < 2 {
			stroke.Resize(fyne.NewSize(2, crossStroke))
		} else {
			stroke.Resize(fyne.NewSize(crossStroke, 2))
		}
	}
	below, beside := max(0, y+crossGap+crossStroke+3), max(0, x+crossGap+crossStroke+3)
	h.down.Move(fyne.NewPos(x, below))
	h.down.Resize(fyne.NewSize(1, max(0, size.Height-below)))
	h.right.Move(fyne.NewPos(beside, y))
	h.right.Resize(fyne.NewSize(max(0, size.Width-beside), 1))
}

// setVisible hides the cross-hair while nothing is known of the dish, and what of it lies beside what is seen.
func (h *hair) setVisible(visible bool, at fyne.Position, size fyne.Size) {
	across, up := at.X >= 0 && at.X <= size.Width, at.Y >= 0 && at.Y <= size.Height
	for _, part := range h.cross() {
		setVisible(part, visible && across && up)
	}
	setVisible(h.down, visible && across)
	setVisible(h.right, visible && up)
}

// tint colours the cross-hair; old is for what is not to be trusted now.
func (h *hair) tint(old bool) {
	p := widget.Current()
	ink := p.Measured
	if old {
		ink = p.Old
	}
	for _, stroke := range h.strokes {
		stroke.FillColor = ink
		stroke.Refresh()
	}
	for _, line := range []*canvas.Rectangle{h.down, h.right} {
		line.FillColor = widget.Fade(ink, 0.4)
		line.Refresh()
	}
}

// newSetpointMark returns the ring that marks a setpoint; one that is only proposed is dashed.
func newSetpointMark(proposed bool) *canvas.Raster {
	return chart.NewMark(setpointSide, func(d *chart.Drawing, w, h, unit float64) {
		middle := chart.Point{X: w / 2, Y: h / 2}
		circle := chart.Circle(middle, 10.5*unit)
		if proposed {
			d.Dashed(circle, 1.8*unit, 4*unit, 2.6*unit)
			d.Disc(middle, 1.6*unit)
		} else {
			d.Line(circle, 1.8*unit)
		}
		d.Paint(widget.Current().Setpoint)
	})
}
