package receiver

import (
	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openMeasures asks what is to be compared with cold sky.
func (p *Pane) openMeasures() {
	ask := func(o desk.Order) func() { return func() { p.with.Desk.Ask(o) } }
	p.with.Open.ShowItems("measure-menu", p.measure, []widget.Item{
		{Words: "The target", Name: "measure-target",
			Tip: "Alternating on and off source at the same elevation; ends on source",
			Act: ask(desk.MeasureY{})},
		{Words: "The ground", Name: "measure-ground",
			Tip: "Hold the beam on a hill, trees or a wall first: the dish alternates between it and cold sky",
			Act: ask(desk.Compare{})},
		{Words: "The noise source", Name: "measure-source",
			Tip: "Switched on and off alternately; the dish stays where it is",
			Act: ask(desk.Compare{NoiseSource: true})},
		{Words: "A sky dip…", Name: "measure-dip", Tip: "Level against elevation: what the air, the receiver and the " +
			"ground beside the beam add. It says first what it will do", Act: p.openDip},
	})
}

// openHistory shows the receiver's figures over time.
func (p *Pane) openHistory() {
	closing := widget.NewButton("Close", "history-close", "Back to the window", nil)
	parts := []widget.Part{widget.Fixed(widget.NewProse(p.now.Band.Name +
		": points are measured, the line is the expected value. A step down: preamplifier, water in the feed, snow " +
		"in the dish.").Small())}
	for i, shown := range view.ReceiverHistory(p.now) {
		plot := chart.NewPlot(p.with, [...]string{"history-gt", "history-system", "history-y"}[i])
		plot.Show(shown)
		parts = append(parts, widget.Part{Object: plot.Object(), Share: 1, Min: 110})
	}
	p.with.Open.ShowSheet("history-dialog", "The receiver over time", widget.Column(8, parts...),
		[]*widget.Button{closing}, closing)
}

// openTrims lists the trims.
func (p *Pane) openTrims() {
	closing := widget.NewButton("Close", "trims-close", "Back to the window", nil)
	var parts []widget.Part
	for i := range p.now.Trims {
		parts = append(parts, widget.Fixed(widget.NewProse(view.TrimLine(p.now.Trims[i])).Named("trim-line")))
	}
	p.with.Open.ShowSheet("trims-dialog", "Trims", widget.Column(6, parts...), []*widget.Button{closing}, closing)
}
