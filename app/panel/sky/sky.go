// Package sky shows the panorama: the sky over the whole cable wrap, with the
// beam, what it may look at and what it may not, and the sliders of the two axes
// as its edges. What is dragged is the axis of the plot.
package sky

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the panorama with its sliders.
type Pane struct {
	with     widget.Context
	now      view.Now
	panorama *panorama
	sliders  [2]*slider
	scales   [2]*scale
	object   *fyne.Container
	banner   *widget.Text // while a trip is replayed

	seen     [2]chart.Span // of the panorama's width, and of its height from above
	proposal proposal
	// sent is what was asked for last on each axis, shown as the setpoint until the desk has taken it in.
	sent      [2]unit.Angle
	sentUntil [2]uint64
}

// New returns the panorama.
func New(with widget.Context) *Pane {
	p := &Pane{with: with, seen: everything()}
	p.panorama = newPanorama(p)
	p.sliders = [2]*slider{newSlider(p, view.Azimuth), newSlider(p, view.Elevation)}
	p.scales = [2]*scale{newScale(), newScale()}
	p.banner = widget.NewText("").Bold().Middle().Tone(view.Attention).Named("sky-replay")
	p.object = container.New(edges{p}, p.panorama, p.scales[0].object, p.scales[1].object, p.sliders[0], p.sliders[1],
		p.banner)
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Sky" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	if now.Scene == nil {
		return
	}
	first := p.now.Status == nil
	changed := first || p.now.Scene != now.Scene
	stopped := !first && now.Stop != p.now.Stop && now.Stop != desk.StopNone && !p.now.Stop.Pending()
	p.now = now
	if words := view.ReplaySky(now); words != p.banner.ControlWords() {
		p.banner.SetWords(words)
		p.cancel()
	}
	if stopped { // from wherever: nothing that was begun before may move the dish after
		p.cancel()
	}
	if p.proposal.by != nobody {
		p.review()
	}
	if changed {
		p.arrange()
	}
	p.panorama.show()
	for _, slider := range p.sliders {
		slider.show()
	}
}

// plot returns the geometry of the plot in units.
func (p *Pane) plot() view.SkyPlot {
	size := p.panorama.Size()
	return p.plotOf(float64(size.Width), float64(size.Height))
}

// arrange puts what depends on size and scene in its place.
func (p *Pane) arrange() {
	if p.now.Status == nil || p.panorama.Size().Width < 10 {
		return
	}
	plot := p.plot()
	for axis, scale := range p.scales {
		scale.arrange(plot, axis)
		p.sliders[axis].arrange()
	}
	p.panorama.arrange()
}

// The edges of the pane, in units.
const (
	overhang    = 8  // of the sliders over the ends of the plot
	sliderDepth = 22 // of a slider
	azScale     = 15 // height of the azimuth's figures
	elScale     = 30 // width of the elevation's figures
)

// edges lays the panorama out with the sliders as its edges.
type edges struct{ pane *Pane }

// MinSize implements fyne.Layout.
func (edges) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(420, 150) }

// Layout implements fyne.Layout.
func (e edges) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	p := e.pane
	width := float32(int(size.Width)) - overhang - sliderDepth - elScale
	height := float32(int(size.Height)) - overhang - sliderDepth - azScale
	p.panorama.Move(fyne.NewPos(overhang, overhang))
	p.panorama.Resize(fyne.NewSize(width, height))
	p.banner.Move(fyne.NewPos(overhang, overhang+14))
	p.banner.Resize(fyne.NewSize(width, 20))
	p.sliders[view.Azimuth].Move(fyne.NewPos(0, overhang+height))
	p.sliders[view.Azimuth].Resize(fyne.NewSize(width+2*overhang, sliderDepth))
	p.sliders[view.Elevation].Move(fyne.NewPos(overhang+width, 0))
	p.sliders[view.Elevation].Resize(fyne.NewSize(sliderDepth, height+2*overhang))
	p.scales[view.Azimuth].object.Move(fyne.NewPos(0, overhang+height+sliderDepth))
	p.scales[view.Azimuth].object.Resize(fyne.NewSize(width+2*overhang, azScale))
	p.scales[view.Elevation].object.Move(fyne.NewPos(overhang+width+sliderDepth, 0))
	p.scales[view.Elevation].object.Resize(fyne.NewSize(elScale, height+2*overhang))
	p.arrange()
}

// proposer is what a proposal came from.
type proposer uint8

const (
	nobody proposer = iota
	byPlace
	byBody
	byAzimuth   // the azimuth's slider
	byElevation // the elevation's slider
)

// proposal is a motion or a target that is shown but not asked for yet.
type proposal struct {
	by    proposer
	to    desk.AxisAngles // axis angles
	body  desk.Body
	click fyne.Position
	since uint64 // the tick at which it was made
	// spent says that it was refused, and stays only to be read.
	spent bool
	offer view.Offer
}

// Ticks, ten a second.
const (
	proposalLives = 150
	refusalLives  = 40
	// againAfter keeps a double click from going at once: the words must have been on the screen.
	againAfter = 4
	sentShown  = 8
)

// propose shows a motion or a target.
func (p *Pane) propose(of proposal) {
	if p.now.Replay != "" {
		return // nothing begins from where the dish was
	}
	of.since = p.now.Tick
	p.proposal = of
	p.review()
	p.refresh()
}

// review brings the words of the proposal up to date, or drops it when it is old.
func (p *Pane) review() {
	pr := &p.proposal
	held := pr.by >= byAzimuth && p.sliders[pr.by-byAzimuth].pressed
	lives := uint64(proposalLives)
	if pr.spent {
		lives = refusalLives
	}
	if !held && p.now.Tick > pr.since+lives {
		p.drop()
		return
	}
	switch pr.by {
	case byBody:
		for _, body := range p.now.Bodies {
			if body.Kind == pr.body.Kind && body.Name == pr.body.Name {
				pr.body = body
			}
		}
		pr.offer = view.OfferBody(p.now, pr.body)
	case byPlace:
		pr.offer = view.OfferPlace(p.now, pr.to, "click again to go, or Enter")
	case byAzimuth, byElevation:
		next := "Enter goes, Esc stops"
		if held {
			next = "let go to go, Esc stops"
		}
		p.follow(pr)
		pr.offer = view.OfferPlace(p.now, pr.to, next)
		pr.offer.Order = view.OneAxis(pr.to, int(pr.by-byAzimuth))
	}
}

// follow keeps the axis that a slider does not move where it is wanted.
func (p *Pane) follow(pr *proposal) {
	standing := setpointOrPosition(p.now)
	if pr.by == byAzimuth {
		pr.to.El = standing.El
	} else {
		pr.to.Az = standing.Az
	}
}

// setpointOrPosition is where the axes are asked to be, or else where they are.
func setpointOrPosition(now view.Now) desk.AxisAngles {
	at := func(axis desk.Axis) unit.Angle {
		if axis.HasSetpoint {
			return axis.Setpoint
		}
		return axis.Position
	}
	return desk.AxisAngles{Az: at(now.Axes[view.Azimuth]), El: at(now.Axes[view.Elevation])}
}

// take asks for what is proposed. What can't be done stays for a while, so that its reason can be read.
func (p *Pane) take() {
	pr := &p.proposal
	if pr.by == nobody || pr.spent {
		return
	}
	p.review()
	if !pr.offer.Ready {
		pr.spent, pr.since = true, p.now.Tick
		p.refresh()
		return
	}
	if slew, ok := pr.offer.Order.(desk.SlewTo); ok {
		for axis, angle := range []unit.Angle{slew.To.Az, slew.To.El} {
			if angle == angle { // not NaN
				p.sent[axis], p.sentUntil[axis] = angle, p.now.Tick+sentShown
			}
		}
	}
	p.with.Desk.Ask(pr.offer.Order)
	p.drop()
}

// drop forgets the proposal.
func (p *Pane) drop() {
	if p.proposal.by == nobody {
		return
	}
	p.proposal = proposal{}
	p.refresh()
}

// cancel forgets the proposal, and ends a drag that made it.
func (p *Pane) cancel() {
	for _, slider := range p.sliders {
		slider.pressed = false
	}
	p.drop()
}

// dropOf forgets the proposal if it came from one of these.
func (p *Pane) dropOf(of ...proposer) {
	for _, by := range of {
		if p.proposal.by == by {
			p.drop()
			return
		}
	}
}

// refresh shows the proposal at once, without waiting for the next tick.
func (p *Pane) refresh() {
	if p.now.Status == nil || p.now.Scene == nil {
		return
	}
	p.panorama.show()
	for _, slider := range p.sliders {
		slider.show()
	}
}
