package sky

import (
	"image"
	"image/color"
	"math"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// panorama is the plot itself. A click shows what is there and what a second
// click would do.
type panorama struct {
	widget.Control
	pane *Pane

	lying    *widget.Merged // the ground with the words
	ground   *canvas.Raster
	ways     []view.Way
	waysSeen uint64 // counts the changes of ways
	shading  *desk.Shading

	hair     *hair
	old      bool
	dish     *beyond // where the beam is not seen
	command  *beyond // where the setpoint is not seen, nor the beam at the same place
	setpoint *canvas.Raster
	proposed *canvas.Raster
	course   *course
	bubble   *bubble
	reading  *reading
	focus    *canvas.Rectangle

	dragging           bool          // what is seen is being moved
	dragged, draggedAt fyne.Position // not moved yet, and where the pointer is

	marks  []view.SkyMark
	symbol []*mark
	places []fyne.Position // of the marks
	lettering
}

func newPanorama(pane *Pane) *panorama {
	p := &panorama{
		pane: pane, hair: newHair(), setpoint: newSetpointMark(false), proposed: newSetpointMark(true),
		course: newCourse(), bubble: newBubble(), reading: newReading(),
		focus: canvas.NewRectangle(color.Transparent),
	}
	p.dish = newBeyond("dish", func(palette *widget.Palette) color.NRGBA {
		if p.old {
			return palette.Old
		}
		return palette.Measured
	})
	p.command = newBeyond("command", func(palette *widget.Palette) color.NRGBA { return palette.Setpoint })
	p.ground = widget.NewRaster(p.drawGround)
	p.lying = widget.NewMerged(0, p.ground)
	p.setpoint.Hide()
	p.proposed.Hide()
	p.Become(p, "panorama", "Click a place to see how far it is, again to go there; click a body to make it the target")
	return p
}

// ControlWords returns what a click would do.
func (p *panorama) ControlWords() string {
	offer := p.pane.proposal.offer
	if offer.Head == "" {
		return ""
	}
	return offer.Head + "; " + offer.Under + "; " + offer.Next
}

// at returns the place of axis angles in whole pixels.
func (p *panorama) at(plot view.SkyPlot, to desk.AxisAngles) fyne.Position {
	return chart.Snap(p, plot.X(to.Az), plot.Y(to.El))
}

func (p *panorama) drawGround(w, h int) image.Image {
	now := p.pane.now
	if now.Status == nil || now.Scene == nil {
		return image.NewRGBA(image.Rect(0, 0, w, h))
	}
	d := chart.New(w, h)
	g := ground{
		Drawing: d, scene: now.Scene, palette: widget.Current(), shading: now.Shading, unit: chart.PerUnit(w, p.ground),
		plot: p.pane.plotOf(float64(w), float64(h)),
	}
	g.draw(p.ways)
	return d.Picture()
}

func (p *panorama) redrawGround() { p.lying.Redraw(p.ground) }

// Parts implements widget.Composite: the words.
func (p *panorama) Parts() []fyne.CanvasObject { return p.lettering.objects() }

// arrange places everything again: the size or the scene changed.
func (p *panorama) arrange() {
	p.ways = view.Ways(p.pane.now, p.pane.plot())
	p.waysSeen++
	p.redrawGround()
	p.lettering.key = letteringKey{}
	p.show()
}

// show brings the plot up to date, and touches only what has moved.
func (p *panorama) show() {
	now, plot := p.pane.now, p.pane.plot()
	if p.Size().Width < 10 {
		return
	}
	if now.Full {
		p.turnWays(now, plot)
	}
	if now.Shading != p.shading {
		p.shading = now.Shading
		p.redrawGround()
	}
	p.showReading(plot)
	p.showMarks(now, plot)
	p.showHair(now, plot)
	p.showSetpoint(now, plot)
	p.showProposal(plot)
	p.letter(now, plot)
}

// turnWays draws the ways again when one of them changed its branch or its meaning.
func (p *panorama) turnWays(now view.Now, plot view.SkyPlot) {
	ways := view.Ways(now, plot)
	same := slices.EqualFunc(ways, p.ways, func(a, b view.Way) bool {
		return a.Target == b.Target && a.Name == b.Name && math.Abs((a.Points[0].Az-b.Points[0].Az).Rad()) < 1e-6
	})
	if !same {
		p.ways = ways
		p.waysSeen++
		p.redrawGround()
	}
}

func (p *panorama) showMarks(now view.Now, plot view.SkyPlot) {
	p.marks = view.SkyMarks(now, plot, p.marks[:0])
	for len(p.symbol) < len(p.marks) {
		p.symbol = append(p.symbol, newMark())
	}
	p.places = p.places[:0]
	for i, mark := range p.marks {
		at := p.at(plot, desk.AxisAngles{Az: mark.Axis, El: mark.El})
		p.places = append(p.places, at)
		p.symbol[i].show(mark, at)
	}
	for _, unused := range p.symbol[len(p.marks):] {
		unused.raster.Hide()
	}
}

func (p *panorama) showHair(now view.Now, plot view.SkyPlot) {
	// Of an axis that isn't referenced nobody knows where it stands.
	at := p.at(plot, view.Standing(now))
	p.hair.setVisible(view.Placed(now), at, p.Size())
	if old := !now.Shown(); old != p.old {
		p.old = old
		p.hair.tint(old)
		p.dish.tint()
		widget.Redraw(p.dish.arrow)
	}
	p.hair.show(at, p.Size())
	p.dish.show(view.Placed(now) && !p.holds(at), at, p.Size(), boxOf(p.reading.ground))
}

func (p *panorama) showSetpoint(now view.Now, plot view.SkyPlot) {
	az, el := now.Axes[view.Azimuth], now.Axes[view.Elevation]
	has := now.Shown() && view.Placed(now) && (az.HasSetpoint || el.HasSetpoint)
	at := p.at(plot, setpointOrPosition(now))
	setVisible(p.setpoint, has && p.holds(at))
	p.setpoint.Move(at.SubtractXY(setpointSide/2, setpointSide/2))
	apart := distance(at, p.at(plot, view.Standing(now))) > setpointSide
	p.command.show(has && !p.holds(at) && apart, at, p.Size(), boxOf(p.reading.ground), p.dish.box())

	to, going := view.GoingTo(now)
	if pr := p.pane.proposal; pr.by != nobody && pr.by != byBody {
		to, going = pr.to, true
	}
	var dots []fyne.Position
	if going && now.Shown() && view.Placed(now) {
		corners := view.Course(now.Scene, view.Standing(now), to)
		way := make([]fyne.Position, len(corners))
		for i, corner := range corners {
			way[i] = p.at(plot, corner)
		}
		for _, point := range alongWay(way) {
			if p.holds(point) {
				dots = append(dots, chart.Snap(p, float64(point.X)-1, float64(point.Y)-1))
			}
		}
	}
	p.course.show(dots)
}

func (p *panorama) showProposal(plot view.SkyPlot) {
	pr := p.pane.proposal
	if pr.by == nobody {
		setVisible(p.proposed, false)
		p.bubble.hide()
		return
	}
	to := pr.to
	if pr.by == byBody {
		to = desk.AxisAngles{Az: view.Branch(p.pane.now.Scene, pr.body.Az, view.Heading(p.pane.now)), El: pr.body.El}
	}
	at := p.at(plot, to)
	setVisible(p.proposed, pr.by != byBody && p.holds(at))
	p.proposed.Move(at.SubtractXY(setpointSide/2, setpointSide/2))
	p.bubble.show(pr.offer, at, p.Size())
}

// setVisible shows or hides an object when that changes something, and says whether it is seen.
func setVisible(object fyne.CanvasObject, visible bool) bool {
	switch {
	case object.Visible() == visible:
	case visible:
		object.Show()
	default:
		object.Hide()
	}
	return visible
}

func distance(a, b fyne.Position) float32 {
	return float32(math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)))
}

// Cursor implements desktop.Cursorable.
func (p *panorama) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// MouseMoved implements desktop.Hoverable. There is no tip: it would lie over the sky, and reading tells what a click
// does.
func (p *panorama) MouseMoved(event *desktop.MouseEvent) { p.point(event.Position, true) }

// MouseIn implements desktop.Hoverable.
func (p *panorama) MouseIn(event *desktop.MouseEvent) { p.point(event.Position, true) }

// MouseOut implements desktop.Hoverable.
func (p *panorama) MouseOut() { p.point(fyne.Position{}, false) }

// CreateRenderer implements fyne.Widget.
func (p *panorama) CreateRenderer() fyne.WidgetRenderer {
	r := &panoramaRenderer{p: p}
	r.paint()
	return r
}

type panoramaRenderer struct {
	p       *panorama
	objects []fyne.CanvasObject
}

func (r *panoramaRenderer) paint() {
	p, palette := r.p, widget.Current()
	p.hair.tint(p.old)
	p.course.tint()
	p.bubble.tint()
	p.reading.tint()
	p.dish.tint()
	p.command.tint()
	p.focus.StrokeWidth, p.focus.StrokeColor = 0, palette.Focus
	if p.Focused() {
		p.focus.StrokeWidth = 2
	}
	p.lettering.tint()
}

func (r *panoramaRenderer) Layout(size fyne.Size) {
	r.p.ground.Resize(size)
	r.p.lying.Resize(size)
	r.p.focus.Resize(size)
}

func (r *panoramaRenderer) MinSize() fyne.Size { return fyne.NewSize(200, 90) }

func (r *panoramaRenderer) Refresh() {
	r.paint()
	r.p.redrawGround()
	for _, object := range r.Objects() {
		object.Refresh()
	}
}

// Objects implements fyne.WidgetRenderer, what lies beneath first.
func (r *panoramaRenderer) Objects() []fyne.CanvasObject {
	p := r.p
	all := append(r.objects[:0], p.lying.Picture)
	all = append(all, p.hair.lines()...)
	for _, mark := range p.symbol {
		all = append(all, mark.raster)
	}
	all = append(all, p.course.objects()...)
	all = append(all, p.setpoint)
	all = append(all, p.hair.cross()...)
	all = append(all, p.dish.objects()...)
	all = append(all, p.command.objects()...)
	all = append(all, p.proposed)
	all = append(all, p.reading.objects()...)
	all = append(all, p.bubble.objects()...)
	r.objects = append(all, p.focus)
	return r.objects
}

func (r *panoramaRenderer) Destroy() {}
