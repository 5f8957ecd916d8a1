// Package receiver shows peaks: how they are taken, what they found, and whether to use it.
package receiver

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Noise.
type Pane struct {
	with   widget.Context
	object fyne.CanvasObject
	now    view.Now

	head, when, verdict      *widget.Text
	sweeps, stops, end, use  *widget.Button
	figures                  *widget.Figures
	plots                    [2]*plot
	last                     *desk.PeakResult
	preamplifier, noiseMaker *widget.Button
}

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{
		with:    with,
		head:    widget.NewText("").Bold().Elastic().Named("peak-head"),
		when:    widget.NewLabel("").Right().Elastic().Named("peak-when"),
		verdict: widget.NewText("").Small().Elastic().Named("peak-verdict"),
		figures: widget.NewFigures("peak", 4).Wide(),
	}
	order := func(o desk.Order) func() { return func() { with.Desk.Ask(o) } }
	p.sweeps = widget.NewButton("Peak by sweeps", "peak-sweeps", "Sweep the beam across the target in both axes, both ways; it takes some minutes and ends on the target", order(desk.Order{Kind: desk.TakePeak, On: true})).Tight().Sized(widget.SmallText)
	p.stops = widget.NewButton("By five stops", "peak-stops", "Quicker: the level on the target and half a beamwidth beside it on four sides", order(desk.Order{Kind: desk.TakePeak})).Tight().Sized(widget.SmallText)
	p.end = widget.NewButton("End it", "peak-end", "End the peak that is being taken; the trim stays as it was", order(desk.Order{Kind: desk.EndJob})).Tight().Sized(widget.SmallText)
	p.use = widget.NewButton("Use as trim", "peak-use", "What the peak found becomes the trim of this band, feed and kind of target; B brings the trim before back", order(desk.Order{Kind: desk.UsePeak})).Tight().Sized(widget.SmallText)
	p.preamplifier = widget.NewButton("Preamplifier off", "preamplifier", "Switch the preamplifier", p.switchPreamplifier).Tight().Sized(widget.SmallText)
	p.noiseMaker = widget.NewButton("Noise source off", "noise-source", "Switch the noise source of the receiver", p.switchSource).Tight().Sized(widget.SmallText)
	for i := range p.plots {
		p.plots[i] = newPlot()
	}
	p.object = widget.Column(5,
		widget.Fixed(widget.Row(6, widget.Part{Object: p.head, Share: 3}, widget.Part{Object: p.when, Share: 2})),
		widget.Fixed(widget.Row(6, widget.Sharing(p.sweeps), widget.Sharing(p.stops), widget.Sharing(p.end))),
		widget.Part{Object: p.plots[0].object, Share: 5, Least: 90},
		widget.Part{Object: p.plots[1].object, Share: 5, Least: 90},
		widget.Part{Object: p.figures.Object(), Share: 2, Least: 62},
		widget.Fixed(p.verdict),
		widget.Fixed(widget.Row(6, widget.Sharing(p.use), widget.Sharing(widget.NewLabel("")))),
		widget.Space(2),
		widget.Fixed(widget.NewLabel("Receiver").Bold()),
		widget.Fixed(widget.Row(6, widget.Sharing(p.preamplifier), widget.Sharing(p.noiseMaker))))
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Noise" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	head := view.PeakHead(now)
	p.head.Set(head.Head.Words, head.Head.Tone)
	p.when.Set(head.Under.Words, head.Under.Tone)
	blocked := view.PeakBlocked(now) != ""
	p.sweeps.SetEnabled(!blocked)
	p.stops.SetEnabled(!blocked)
	p.end.SetEnabled(now.Peak.Running)
	p.use.Set("Use as trim", widget.Quiet)
	p.use.SetEnabled(now.Live && now.Peak.Usable)
	verdict := view.PeakVerdict(now)
	p.verdict.Set(verdict.Words, verdict.Tone)
	p.figures.Show(view.PeakFigures(now))
	p.preamplifier.Set(onOff("Preamplifier", now.Preamplifier), widget.Quiet)
	p.preamplifier.Choose(now.Preamplifier)
	p.preamplifier.SetEnabled(now.Live)
	p.noiseMaker.Set(onOff("Noise source", now.NoiseSource), widget.Quiet)
	p.noiseMaker.Choose(now.NoiseSource)
	p.noiseMaker.SetEnabled(now.Live)
	if now.Peak.Last != p.last {
		p.last = now.Peak.Last
		for i, plot := range view.PeakPlots(p.last) {
			p.plots[i].show(plot)
		}
	}
}

func onOff(what string, on bool) string {
	if on {
		return what + " on"
	}
	return what + " off"
}

func (p *Pane) switchPreamplifier() {
	if p.now.Status != nil {
		p.with.Desk.Ask(desk.Order{Kind: desk.Preamplifier, On: !p.now.Preamplifier})
	}
}

func (p *Pane) switchSource() {
	if p.now.Status != nil {
		p.with.Desk.Ask(desk.Order{Kind: desk.NoiseSource, On: !p.now.NoiseSource})
	}
}
