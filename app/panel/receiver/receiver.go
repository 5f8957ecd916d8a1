// Package receiver shows what the receiver's noise tells: peaks, which find the
// trim, and how good the receiver is.
package receiver

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Noise.
type Pane struct {
	with   widget.Context
	object fyne.CanvasObject
	now    view.Now

	head, when, verdict     *widget.Text
	sweeps, stops, end, use *widget.Button
	figures                 *widget.Figures
	plots                   [2]*chart.Plot
	last                    *desk.PeakResult

	measure, endMeasure, flux, preamplifier, noiseMaker *widget.Button
	past, trims                                         *widget.Button
	about, aboutWhen, note                              *widget.Text
	receiver                                            *widget.Figures
	dip                                                 *dipSheet // the newest; nil before the first
}

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{
		with:    with,
		head:    widget.NewText("").Bold().Elastic().Named("peak-head"),
		when:    widget.NewLabel("").Right().Elastic().Named("peak-when"),
		verdict: widget.NewText("").Small().Elastic().Named("peak-verdict"),
		figures: widget.NewFigures("peak", 5).Wide(),
	}
	order := func(o desk.Order) func() { return func() { with.Desk.Ask(o) } }
	p.sweeps = widget.NewButton("Cross-scan", "peak-sweeps",
		"Scan the beam across the target in both axes, both ways; it takes some minutes and ends on the target",
		order(desk.TakePeak{Sweeps: true})).Tight().Sized(widget.SmallText)
	p.stops = widget.NewButton("Five-point", "peak-stops",
		"Quicker: the level on the target and half a beamwidth off it on four sides",
		order(desk.TakePeak{})).Tight().Sized(widget.SmallText)
	p.end = widget.NewButton("Abort", "peak-end", "Abort the peak; the trim stays as it was",
		order(desk.EndJob{})).Tight().Sized(widget.SmallText)
	p.use = widget.NewButton("Apply as trim", "peak-use",
		"Apply the peak as the trim of this band, feed and kind of target; B restores the previous trim",
		order(desk.UsePeak{})).Tight().Sized(widget.SmallText)
	p.preamplifier = widget.NewButton("Preamplifier off", "preamplifier", "Switch the preamplifier",
		p.switchPreamplifier).Tight().Sized(widget.SmallText)
	p.noiseMaker = widget.NewButton("Noise source off", "noise-source", "Switch the noise source of the receiver",
		p.switchSource).Tight().Sized(widget.SmallText)
	p.measure = widget.NewButton("Measure Y ▾", "receiver-measure", "Compare the noise on the target, on the ground "+
		"or of the noise source with cold sky, four times on and three times off",
		p.openMeasures).Tight().Sized(widget.SmallText)
	p.endMeasure = widget.NewButton("Abort", "receiver-end", "Abort the measurement",
		order(desk.EndJob{})).Tight().Sized(widget.SmallText)
	p.flux = widget.NewButton("Solar flux…", "solar-flux",
		"Enter the day's solar flux; without it the solar cycle's mean is assumed, good to 25 % at best",
		p.askFlux).Tight().Sized(widget.SmallText)
	p.past = widget.NewButton("History…", "receiver-history", "Earlier measurements on this band, by date",
		p.openHistory).Tight().Sized(widget.SmallText)
	p.trims = widget.NewButton("Trims…", "trims-list",
		"The trims of all bands, feeds and kinds of target, with their dates",
		p.openTrims).Tight().Sized(widget.SmallText)
	p.about = widget.NewText("").Bold().Elastic().Named("receiver-head")
	p.aboutWhen = widget.NewLabel("").Right().Elastic().Named("receiver-when")
	p.note = widget.NewText("").Small().Elastic().Named("receiver-note")
	p.receiver = widget.NewFigures("receiver", 4)
	p.plots = [2]*chart.Plot{chart.NewPlot(with, "peak-plot-cross"), chart.NewPlot(with, "peak-plot-elevation")}
	p.showPlots()
	p.object = widget.Column(5,
		widget.Fixed(widget.Row(6, widget.Part{Object: p.head, Share: 3}, widget.Part{Object: p.when, Share: 2})),
		widget.Fixed(widget.Row(6, widget.Sharing(p.sweeps), widget.Sharing(p.stops), widget.Sharing(p.end))),
		widget.Part{Object: widget.Row(6, widget.Sharing(p.plots[0].Object()), widget.Sharing(p.plots[1].Object())),
			Share: 5, Min: 90},
		widget.Part{Object: p.figures.Object(), Share: 5, Min: 75},
		widget.Fixed(p.verdict),
		widget.Fixed(widget.Row(6, widget.Sharing(p.use), widget.Sharing(p.trims))),
		widget.Space(2),
		widget.Fixed(widget.Row(6, widget.Part{Object: p.about, Share: 3}, widget.Part{Object: p.aboutWhen, Share: 2})),
		widget.Fixed(widget.Row(6, widget.Sharing(p.measure), widget.Sharing(p.past), widget.Sharing(p.flux),
			widget.Sharing(p.endMeasure))),
		widget.Part{Object: p.receiver.Object(), Share: 4, Min: 62},
		widget.Fixed(p.note),
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
	p.use.Set("Apply as trim", widget.Quiet)
	p.use.SetEnabled(now.Live && now.Peak.Usable)
	verdict := view.PeakVerdict(now)
	p.verdict.Set(verdict.Words, verdict.Tone)
	p.figures.Show(view.PeakFigures(now))
	about := view.ReceiverHead(now)
	p.about.Set(about.Head.Words, about.Head.Tone)
	p.aboutWhen.Set(about.Under.Words, about.Under.Tone)
	p.receiver.Show(view.ReceiverFigures(now))
	note := view.ReceiverNote(now)
	p.note.Set(note.Words, note.Tone)
	p.measure.SetEnabled(now.Live && !now.Receiving.Running && !now.Peak.Running && now.TimeScale <= 1)
	p.past.SetEnabled(len(now.Receiving.Before) > 0)
	p.trims.SetEnabled(len(now.Trims) > 0)
	p.endMeasure.SetEnabled(now.Receiving.Running)
	p.preamplifier.Set(onOff("Preamplifier", now.Preamplifier), widget.Quiet)
	p.preamplifier.Choose(now.Preamplifier)
	p.preamplifier.SetEnabled(now.Live)
	p.noiseMaker.Set(onOff("Noise source", now.NoiseSource), widget.Quiet)
	p.noiseMaker.Choose(now.NoiseSource)
	p.noiseMaker.SetEnabled(now.Live)
	if p.dip != nil {
		p.dip.show(now)
	}
	if shown := view.PeakShown(now); shown != p.last {
		p.last = shown
		p.showPlots()
	}
}

func (p *Pane) showPlots() {
	for i, shown := range view.PeakPlots(p.last) {
		p.plots[i].Show(shown)
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
		p.with.Desk.Ask(desk.Preamplifier{On: !p.now.Preamplifier})
	}
}

func (p *Pane) switchSource() {
	if p.now.Status != nil {
		p.with.Desk.Ask(desk.NoiseSource{On: !p.now.NoiseSource})
	}
}
