// Package lanes shows the two axes: where each is, where it is wanted, the
// target's own place, and how it moves.
package lanes

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the two lanes.
type Pane struct {
	object fyne.CanvasObject
	lanes  [2]lane
}

// lane is what is drawn of one axis.
type lane struct{ is, mark, want, own, motion *widget.Text }

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
		is:     widget.NewText("").Sized(widget.BigText).Bold().Right().Reserve("888.88°").Named(name + "-is"),
		mark:   widget.NewLabel("").Named(name + "-mark"),
		want:   widget.NewLabel("").Right().Elastic().Named(name + "-want"),
		own:    widget.NewLabel("").Right().Elastic().Named(name + "-target"),
		motion: widget.NewLabel("").Right().Elastic().Named(name + "-motion"),
	}
	head := widget.Row(8, widget.Fixed(widget.NewLabel(title)), widget.Fixed(l.mark), widget.Sharing(l.own))
	beside := widget.Column(1, widget.Spring(), widget.Fixed(l.want), widget.Fixed(l.motion), widget.Spring())
	body := widget.Row(8, widget.Fixed(l.is), widget.Part{Object: beside, Share: 1, Least: 128})
	return l, widget.Column(0, widget.Fixed(head), widget.Fixed(body))
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Axes" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane, at every second tick: figures that change faster can't be read.
func (p *Pane) Show(now view.Now) {
	if now.Tick%2 != 0 {
		return
	}
	p.grow()
	for index := range p.lanes {
		lane, l := view.LaneOf(now, index), &p.lanes[index]
		show(l.is, lane.Is, "°")
		show(l.mark, lane.Mark, "")
		show(l.want, lane.Want, "")
		show(l.own, lane.Own, "")
		show(l.motion, lane.Motion, "")
	}
}

// grow makes the big figures as large as there is room for.
func (p *Pane) grow() {
	const beside, widest, most = 150, 4.4, 58 // units; width of the figure in heights; units
	room := p.object.Size()
	size := min((room.Width-beside)/widest, (room.Height/2-22)/1.3, most)
	size = max(widget.BigText, float32(int(size)))
	changed := false
	for _, l := range p.lanes {
		changed = l.is.SetSize(size) || changed
	}
	if changed {
		p.object.Refresh()
	}
}

func show(text *widget.Text, phrase view.Phrase, unit string) {
	text.Set(phrase.Words+unit, phrase.Tone)
}
