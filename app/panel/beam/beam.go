// Package beam shows the sky along the beam, magnified to true angle, in a frame
// of the four arrows that nudge it.
package beam

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the beam view in its frame of arrows.
type Pane struct {
	object *fyne.Container
	view   *beamView
	arrows [4]*widget.Arrow
	moves  string
	step   float64 // degrees
}

// New returns the beam view.
func New(with widget.Context) *Pane {
	p := &Pane{view: newBeamView(with)}
	hand := with.Hand
	p.arrows = [4]*widget.Arrow{
		hand.Arrow(widget.Upwards, "nudge-up", ""), hand.Arrow(widget.Downwards, "nudge-down", ""),
		hand.Arrow(widget.Leftwards, "nudge-left", ""), hand.Arrow(widget.Rightwards, "nudge-right", ""),
	}
	hand.OnStep(func() { p.tell(hand.Step()) })
	p.step = hand.Step()
	p.object = container.New(pad{p}, p.view, p.arrows[0], p.arrows[1], p.arrows[2], p.arrows[3])
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Beam" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	if now.Scene == nil {
		return
	}
	blocked := view.NudgeBlocked(now) != ""
	for _, arrow := range p.arrows {
		arrow.SetEnabled(!blocked)
	}
	if moves := view.NudgeMoves(now).Words; moves != p.moves {
		p.moves = moves
		p.tell(p.step)
	}
	p.view.show(now)
}

// tell brings the arrows' tips up to date.
func (p *Pane) tell(step float64) {
	p.step = step
	for i, heading := range []string{"up", "down", "left", "right"} {
		p.arrows[i].Tip(view.NudgeTip(p.moves, step, heading))
	}
}

// pad is the layout: the view, and an arrow in the middle of each of its edges.
type pad struct{ pane *Pane }

// padDepth is the depth of an arrow, padGap the gap to the view.
const (
	padDepth = 20
	padGap   = 4
)

// MinSize implements fyne.Layout.
func (pad) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(220, 200) }

// Layout implements fyne.Layout.
func (l pad) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	const edge = padDepth + padGap
	width, height := float32(int(size.Width))-2*edge, float32(int(size.Height))-2*edge
	p := l.pane
	p.view.Move(fyne.NewPos(edge, edge))
	p.view.Resize(fyne.NewSize(width, height))
	long := func(length float32) float32 { return float32(int(min(length, max(60, length*0.6)))) }
	wide, tall := long(width), long(height)
	left, top := float32(int(edge+(width-wide)/2)), float32(int(edge+(height-tall)/2))
	for i, arrow := range p.arrows {
		if i < 2 {
			arrow.Resize(fyne.NewSize(wide, padDepth))
		} else {
			arrow.Resize(fyne.NewSize(padDepth, tall))
		}
	}
	p.arrows[0].Move(fyne.NewPos(left, 0))
	p.arrows[1].Move(fyne.NewPos(left, edge+height+padGap))
	p.arrows[2].Move(fyne.NewPos(0, top))
	p.arrows[3].Move(fyne.NewPos(edge+width+padGap, top))
}

// beamView is the picture with the words in its corners.
type beamView struct {
	fynewidget.BaseWidget
	with   widget.Context
	now    view.Now
	beam   view.Beam
	zoom   float64 // magnification by the wheel; 1 as it is at first
	live   bool
	trace  trace
	replay trace // of a replay: it is no part of the beam's own
	raster *canvas.Raster
	layers layers

	// The words, in the order of corners.
	title, moves, scale, off, loss, far words
}

func newBeamView(with widget.Context) *beamView {
	v := &beamView{
		with:  with,
		zoom:  1,
		title: newWords("beam-title"), moves: newWords("beam-moves"), scale: newWords("beam-scale"),
		off: newWords("beam-off"), loss: newWords("beam-loss"), far: newWords("beam-far"),
	}
	v.raster = widget.NewRaster(func(w, h int) image.Image {
		if v.now.Status == nil {
			return image.NewRGBA(image.Rect(0, 0, w, h))
		}
		return v.layers.draw(w, h, chart.PerUnit(w, v.raster), v.beam, v.newest(), v.live)
	})
	v.ExtendBaseWidget(v)
	return v
}

// ControlName returns the name by which tests find the view.
func (v *beamView) ControlName() string { return "beam-view" }

// ControlWords returns the words in its corners.
func (v *beamView) ControlWords() string {
	return v.scale.text.ControlWords() + "; " + v.off.text.ControlWords() + "; " + v.loss.text.ControlWords()
}

// Parts implements widget.Composite.
func (v *beamView) Parts() []fyne.CanvasObject {
	return []fyne.CanvasObject{v.title.text, v.moves.text, v.scale.text, v.off.text, v.loss.text, v.far.text}
}

// newest is the trace of what is shown: that of a replay while there is one.
func (v *beamView) newest() *trace {
	if v.now.Replay != "" {
		return &v.replay
	}
	return &v.trace
}

// show brings the view up to date; the picture is drawn again when something in it has moved by a part of a pixel.
func (v *beamView) show(now view.Now) {
	b := view.BeamZoomed(now, v.zoom)
	f := newFrame(float64(v.Size().Width), float64(v.Size().Height), b.Reach)
	replayed := now.Replay != ""
	changed := v.now.Status == nil || v.live != now.Shown() || replayed != (v.now.Replay != "") ||
		!same(b, v.beam, f.perRad)
	switch {
	case !replayed:
		v.replay = trace{}
	case now.At.Before(v.now.At) || v.now.Replay == "": // it went back
		v.replay = trace{}
		v.trace.apart = true // what the beam does meanwhile is not seen
	}
	v.now, v.live = now, now.Shown()
	if now.Full && v.newest().add(b) {
		changed = true
	}
	if changed {
		v.beam = b
		widget.Redraw(v.raster)
	}
	if now.Full || changed {
		v.showWords(f)
	}
}

// How far the wheel magnifies, and by how much one notch of it.
const (
	minZoom  = 0.25
	maxZoom  = 8
	zoomStep = 1.25
)

// Scrolled implements fyne.Scrollable: the wheel magnifies about the centre.
func (v *beamView) Scrolled(event *fyne.ScrollEvent) {
	if notches := chart.TakeWheel(v.with, v, event); notches != 0 {
		v.magnify(min(maxZoom, max(minZoom, v.zoom/chart.Factor(notches, zoomStep))))
	}
}

// DoubleTapped implements fyne.DoubleTappable: back to the view as it was at first.
func (v *beamView) DoubleTapped(*fyne.PointEvent) { v.magnify(1) }

func (v *beamView) magnify(zoom float64) {
	if v.zoom = zoom; v.now.Status != nil {
		v.show(v.now)
	}
}

// same says whether two views look the same.
func same(a, b view.Beam, perRad float64) bool {
	const visible = 0.3 // pixels
	near := func(a, b view.Spot) bool { return a.Minus(b).Far().Rad()*perRad < visible }
	if a.Reach != b.Reach || a.HalfPower != b.HalfPower || a.Known != b.Known || a.HasSetpoint != b.HasSetpoint ||
		len(a.Discs) != len(b.Discs) ||
		!near(a.Position, b.Position) || !near(a.Setpoint, b.Setpoint) {
		return false
	}
	for i := range a.Discs {
		if a.Discs[i].Kind != b.Discs[i].Kind || a.Discs[i].Target != b.Discs[i].Target ||
			!near(a.Discs[i].At, b.Discs[i].At) {
			return false
		}
	}
	return true
}

func (v *beamView) showWords(f frame) {
	scale, off, loss := v.beam.Words(v.now)
	title, moves := view.Phrase{Words: "beam view", Tone: view.Faint}, view.NudgeMoves(v.now)
	if v.now.Replay != "" {
		title, moves = view.Phrase{Words: view.ReplayShort(v.now), Tone: view.Attention}, view.Phrase{}
	}
	v.title.set(title)
	v.moves.set(moves)
	v.scale.set(scale)
	v.off.set(off)
	v.loss.set(loss)
	target, has := v.beam.Target()
	out := has && !f.holds(target.At, target.Diameter.Rad()/2*f.perRad)
	far := view.Phrase{}
	if out {
		far = view.Phrase{Words: view.FarWords(target), Tone: view.Plain}
	}
	v.far.set(far)
	v.place(f, target, has, out)
}

// CreateRenderer implements fyne.Widget.
func (v *beamView) CreateRenderer() fyne.WidgetRenderer { return beamRenderer{v} }

type beamRenderer struct{ view *beamView }

func (r beamRenderer) Layout(size fyne.Size) {
	r.view.raster.Resize(size)
	if r.view.now.Status != nil {
		r.view.showWords(newFrame(float64(size.Width), float64(size.Height), r.view.beam.Reach))
	}
}

func (r beamRenderer) MinSize() fyne.Size { return fyne.NewSize(170, 150) }

func (r beamRenderer) Refresh() {
	for _, object := range r.Objects() {
		object.Refresh()
	}
}

func (r beamRenderer) Objects() []fyne.CanvasObject {
	v := r.view
	all := []fyne.CanvasObject{v.raster}
	for _, w := range []words{v.title, v.moves, v.scale, v.off, v.loss, v.far} {
		all = append(all, w.text)
	}
	return all
}
func (r beamRenderer) Destroy() {}
