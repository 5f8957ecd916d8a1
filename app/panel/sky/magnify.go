package sky

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/panel/chart"
	"beamhelm/app/view"
)

// How far the panorama magnifies, and by how much one notch of the wheel.
const (
	maxZoom  = 16
	zoomStep = 1.5
)

// everything is the whole of the panorama, as parts of its width and of its height.
func everything() [2]chart.Span { return [2]chart.Span{{From: 0, To: 1}, {From: 0, To: 1}} }

// magnified is how many times the panorama is magnified, 1 for not at all.
func (p *Pane) magnified() float64 {
	across := p.seen[view.Azimuth]
	return 1 / (across.To - across.From)
}

// plotOf returns the geometry of a plot of a size, with what is seen of the sky in it.
func (p *Pane) plotOf(width, height float64) view.SkyPlot {
	plot := view.SkyPlotOf(p.now.Scene, width, height)
	if p.seen == everything() {
		return plot
	}
	across, down := p.seen[view.Azimuth], p.seen[view.Elevation]
	return plot.Part(across.From, across.To, down.From, down.To)
}

// see shows a part of the sky. What a click has proposed is dropped: the next click at the same place of the plot would
// be at another place of the sky.
func (p *Pane) see(across, down chart.Span) {
	if p.now.Status == nil || p.now.Scene == nil {
		return
	}
	all := everything()
	seen := [2]chart.Span{across.Within(all[0], maxZoom), down.Within(all[1], maxZoom)}
	if width := seen[view.Azimuth].To - seen[view.Azimuth].From; width > 1-1e-6 { // rounding apart
		seen = all
	}
	if seen == p.seen {
		return
	}
	p.seen = seen
	p.dropOf(byPlace, byBody)
	p.arrange()
	for _, slider := range p.sliders {
		slider.show()
	}
}

// magnify widens or narrows what is seen about a place of the plot, by notches of the wheel.
func (p *Pane) magnify(notches int, about fyne.Position) {
	factor, size := chart.Factor(notches, zoomStep), p.panorama.Size()
	across, down := p.seen[view.Azimuth], p.seen[view.Elevation]
	p.see(across.Zoomed(factor, across.At(float64(about.X/size.Width))),
		down.Zoomed(factor, down.At(float64(about.Y/size.Height))))
}

// Scrolled implements fyne.Scrollable: the place under the pointer stays where it is.
func (p *panorama) Scrolled(event *fyne.ScrollEvent) {
	if notches := chart.TakeWheel(p.pane.with, p, event); notches != 0 {
		p.pane.magnify(notches, event.Position)
	}
}

// Dragged implements fyne.Draggable: moves what is seen. A hand that shakes while it clicks moves nothing.
func (p *panorama) Dragged(event *fyne.DragEvent) {
	p.dragged, p.draggedAt = p.dragged.AddXY(event.Dragged.DX, event.Dragged.DY), event.Position
	if !p.dragging && distance(p.dragged, fyne.Position{}) <= sameSpot {
		return
	}
	by := p.dragged
	p.dragging, p.dragged = true, fyne.Position{}
	across, down := p.pane.seen[view.Azimuth], p.pane.seen[view.Elevation]
	size := p.Size()
	p.pane.see(across.Moved(-float64(by.X/size.Width)*(across.To-across.From)),
		down.Moved(-float64(by.Y/size.Height)*(down.To-down.From)))
}

// DragEnd implements fyne.Draggable.
func (p *panorama) DragEnd() {
	shaken := !p.dragging
	p.dragging, p.dragged = false, fyne.Position{}
	if shaken {
		p.Tapped(&fyne.PointEvent{Position: p.draggedAt})
	}
}

// TypedRune implements fyne.Focusable: + and − magnify about the beam, or the middle where the beam isn't seen.
func (p *panorama) TypedRune(letter rune) {
	notches := chart.NotchesOf(letter)
	if notches == 0 || p.pane.now.Status == nil || p.pane.now.Scene == nil {
		p.Control.TypedRune(letter)
		return
	}
	plot, about := p.pane.plot(), fyne.NewPos(p.Size().Width/2, p.Size().Height/2)
	if beam := p.at(plot, view.Standing(p.pane.now)); view.Placed(p.pane.now) && p.holds(beam) {
		about = beam
	}
	p.pane.magnify(notches, about)
}

// whole shows all of the sky again.
func (p *Pane) whole() {
	all := everything()
	p.see(all[0], all[1])
}

// holds says whether a place is within the plot.
func (p *panorama) holds(at fyne.Position) bool {
	return at.X >= 0 && at.Y >= 0 && at.X <= p.Size().Width && at.Y <= p.Size().Height
}
