package sky

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
)

// sameSpot and onBody are how near a click must be, in units.
const (
	sameSpot = 6
	onBody   = 11
)

// Tapped implements fyne.Tappable.
func (p *panorama) Tapped(event *fyne.PointEvent) {
	if p.pane.now.Status == nil || p.pane.now.Scene == nil {
		return
	}
	pr := p.pane.proposal
	again := (pr.by == byPlace || pr.by == byBody) && distance(pr.click, event.Position) <= sameSpot
	p.Focus()
	if again && !pr.spent {
		switch {
		case p.pane.now.Tick >= pr.since+againAfter:
			p.pane.take()
		case p.pane.magnified() > 1: // a double click
			p.pane.whole()
		}
		return
	}
	if body, ok := p.bodyAt(event.Position); ok {
		p.pane.propose(proposal{by: byBody, body: body, click: event.Position})
		return
	}
	plot := p.pane.plot()
	to := desk.AxisAngles{Az: tenth(plot.Az(float64(event.Position.X))), El: tenth(plot.El(float64(event.Position.Y)))}
	p.pane.propose(proposal{by: byPlace, to: to, click: event.Position})
}

// bodyAt returns the body whose mark is nearest to a place, if one is near enough.
func (p *panorama) bodyAt(at fyne.Position) (desk.Body, bool) {
	best, nearest := -1, float32(onBody)
	for i, place := range p.places {
		if far := distance(place, at); far <= nearest {
			best, nearest = i, far
		}
	}
	if best < 0 {
		return desk.Body{}, false
	}
	body := p.marks[best].Body
	return body, body.Kind != desk.Fixed && body.Kind != desk.Radec
}

// FocusLost implements fyne.Focusable.
func (p *panorama) FocusLost() {
	p.pane.dropOf(byPlace, byBody)
	p.Control.FocusLost()
}

// TypedKey implements fyne.Focusable.
func (p *panorama) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		p.pane.take()
	case fyne.KeyHome:
		p.pane.whole()
	case fyne.KeyEscape:
		p.pane.dropOf(byPlace, byBody)
		p.Forward(event)
	default:
		p.Forward(event)
	}
}
