// Package lanes shows the two axes: where each is, where it is wanted, the
// target's own place, and how it moves.
package lanes

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the two lanes.
type Pane struct {
	object fyne.CanvasObject
	lanes  [2]lane
}

// widest is the widest figure without a sign: room for it is always kept.
const widest = "888.88°"

// lane is what is drawn of one axis.
type lane struct{ position, mark, setpoint, own, motion *widget.Text }

// New returns the two lanes.
func New() *Pane {
	p := &Pane{}
	names := [2]string{"azimuth", "elevation"}
	blocks := [2]fyne.CanvasObject{}
	for index := range p.lanes {
		p.lanes[index], blocks[index] = newLane(view.AxisName(index), names[index])
	}
	p.object = widget.Column(4, widget.Sharing(blocks[0]), widget.Sharing(blocks[1]))
	return p
}

func newLane(title, name string) (lane, fyne.CanvasObject) {
	l := lane{
		position: widget.NewText("").Sized(widget.BigText).Bold().Right().Reserve(widest).Named(name + "-position"),
		mark:     widget.NewLabel("").Reserve("not referenced").Named(name + "-mark"),
		setpoint: widget.NewLabel("").Right().Elastic().Named(name + "-setpoint"),
		own:      widget.NewLabel("").Right().Elastic().Named(name + "-target"),
		motion:   widget.NewLabel("").Right().Elastic().Named(name + "-motion"),
	}
	head := widget.NewStill(widget.Row(8, widget.Fixed(widget.NewLabel(title)), widget.Fixed(l.mark),
		widget.Sharing(l.own)))
	beside := widget.NewStill(widget.Column(1, widget.Spring(), widget.Fixed(l.setpoint), widget.Fixed(l.motion),
		widget.Spring()))
	body := container.New(figureFirst{l.position}, l.position, beside)
	return l, widget.Column(0, widget.Fixed(head), widget.Sharing(body))
}

// figureFirst lays out a big figure with words beside it. The figure is as large
// as there is room for, but asks for no more than the least: a window that was
// large can be made small again.
type figureFirst struct{ figure *widget.Text }

// Room beside the figure, and how large it may get; in units.
const (
	minBeside = 128
	gapBeside = 8
	maxFigure = 58
)

// MinSize implements fyne.Layout.
func (f figureFirst) MinSize([]fyne.CanvasObject) fyne.Size {
	minimum := fyne.MeasureText(widest, widget.BigText, fyne.TextStyle{Bold: true})
	return fyne.NewSize(float32(math.Ceil(float64(minimum.Width)))+gapBeside+minBeside, minimum.Height)
}

// Layout implements fyne.Layout.
func (f figureFirst) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	minimum := fyne.MeasureText(widest, widget.BigText, fyne.TextStyle{Bold: true})
	const beside = minBeside + 22 // a large figure leaves its neighbour more
	grown := widget.BigText * min((size.Width-gapBeside-beside)/minimum.Width, size.Height/minimum.Height)
	f.figure.SetSize(max(widget.BigText, min(float32(int(grown)), maxFigure)))
	width := f.figure.MinSize().Width
	objects[0].Resize(fyne.NewSize(width, size.Height))
	objects[0].Move(fyne.NewPos(0, 0))
	objects[1].Resize(fyne.NewSize(size.Width-width-gapBeside, size.Height))
	objects[1].Move(fyne.NewPos(width+gapBeside, 0))
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Axes" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane. Of a moving axis every second tick is shown: figures that change faster can't be read.
func (p *Pane) Show(now view.Now) {
	if now.Tick%2 != 0 && !now.Full {
		return
	}
	for index := range p.lanes {
		lane, l := view.LaneOf(now, index), &p.lanes[index]
		unit := "°"
		if lane.Position.Words == view.Missing {
			unit = ""
		}
		l.position.Set(lane.Position.Words+unit, lane.Position.Tone)
		show(l.mark, lane.Mark)
		show(l.setpoint, lane.Setpoint)
		show(l.own, lane.Own)
		show(l.motion, lane.Motion)
	}
}

func show(text *widget.Text, phrase view.Phrase) { text.Set(phrase.Words, phrase.Tone) }
