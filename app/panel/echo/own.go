package echo

import (
	"strconv"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// historyLines is how many earlier results the sheet shows.
const historyLines = 3

// ownSheet says what a measurement of own echoes will do, begins and ends one, and shows what came of it.
type ownSheet struct {
	pane                  *Pane
	lines                 [4]*widget.Prose
	state, count          *widget.Text
	head                  *widget.Prose
	when                  *widget.Text
	figures               *widget.Figures
	history               [historyLines]*widget.Prose
	cycles, start, ending *widget.Button
	kind, apply, discard  *widget.Button
	past                  *widget.Button
	choice                fyne.CanvasObject // the row of apply and discard
}

// OpenOwn opens the sheet. Nothing is begun.
func (p *Pane) OpenOwn() {
	s := &ownSheet{pane: p, figures: widget.NewFigures("own-echo", 6),
		state: widget.NewText("").Sized(widget.FigureText).Bold().Elastic().Named("own-echo-state"),
		count: widget.NewLabel("").Elastic().Named("own-echo-count"),
		head:  widget.NewProse("").Named("own-echo-head"), when: widget.NewLabel("").Elastic()}
	for i := range s.lines {
		s.lines[i] = widget.NewProse("").Small().Named(
			[...]string{"own-echo-run", "own-echo-dials", "own-echo-expected",
				"own-echo-care"}[i])
	}
	for i := range s.history {
		s.history[i] = widget.NewProse("").Small().Named("own-echo-before-" + strconv.Itoa(i))
	}
	s.makeChoices()
	s.start = widget.NewButton("Start", "own-echo-start",
		"Request the transmit permit and begin: the station transmits", s.begin).Looking(widget.Primary)
	s.ending = widget.NewButton("End run", "own-echo-end",
		"End the run: the key drops at once. Esc and STOP do the same, and stop the dish",
		func() { p.with.Desk.Ask(desk.MeasureEchoes{}) })
	closing := widget.NewButton("Close", "own-echo-close", "Close; a run goes on", nil)
	parts := []widget.Part{}
	for _, line := range s.lines {
		parts = append(parts, widget.Fixed(line))
	}
	parts = append(parts, widget.Fixed(widget.Row(6, widget.Sharing(s.kind), widget.Sharing(s.cycles))),
		widget.Fixed(s.state), widget.Fixed(s.count),
		widget.Fixed(s.head), widget.Fixed(s.choice),
		widget.Part{Object: s.figures.Object(), Share: 2, Min: 118},
		widget.Fixed(widget.Row(6, widget.Sharing(widget.NewLabel("Earlier on this band").Elastic()),
			widget.Fixed(s.past))))
	for _, line := range s.history {
		parts = append(parts, widget.Fixed(line))
	}
	s.show(p.now)
	p.with.Open.ShowSheet("own-echo-dialog", "Own echo", widget.Column(5, parts...),
		[]*widget.Button{closing, s.ending, s.start}, closing).OnTick(s.show)
}

// makeChoices makes the buttons of what is measured, and of what was.
func (s *ownSheet) makeChoices() {
	ask := s.pane.with.Desk.Ask
	small := func(words, name, tip string, act func()) *widget.Button {
		return widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText)
	}
	s.kind = small("Peak on the echo", "own-echo-peak",
		"Also find the trim with which the echo is strongest: the beam stops at five places",
		func() { ask(desk.EchoPeakTo{On: !view.OwnEchoPeaks(s.pane.now)}) })
	s.cycles = small("10 cycles", "own-echo-cycles", "How many cycles the next run has", s.nextCycles).
		Reserve("40 cycles")
	s.apply = small("Apply as trim", "own-echo-apply",
		"Apply the peak as the trim of this band, feed and the Moon; B restores the previous trim",
		func() { ask(desk.UseEchoPeak{On: true}) })
	s.discard = small("Discard", "own-echo-discard", "Leave the trim as it is",
		func() { ask(desk.UseEchoPeak{}) })
	s.choice = widget.Row(6, widget.Sharing(s.when), widget.Fixed(s.discard), widget.Fixed(s.apply))
	s.past = small("History…", "own-echo-history",
		"The strength of earlier echoes on this band over time, beside what was expected", s.pane.openPast)
}

// nextCycles chooses the next number of cycles.
func (s *ownSheet) nextCycles() {
	_, next := view.OwnEchoCycles(s.pane.now)
	s.pane.with.Desk.Ask(desk.MeasureEchoes{Cycles: next})
}

// begin starts what is shown.
func (s *ownSheet) begin() {
	if view.OwnEchoBlocked(s.pane.now) == "" {
		s.pane.with.Desk.Ask(desk.MeasureEchoes{On: true})
	}
}

// show brings the sheet up to date.
func (s *ownSheet) show(now view.Now) {
	if now.Status == nil || !now.Full {
		return
	}
	s.pane.now = now
	for i, line := range view.OwnEchoPlan(now) {
		s.lines[i].Set(line.Words, line.Tone)
	}
	progress, head := view.OwnEchoProgress(now), view.OwnEchoHead(now)
	s.state.Set(progress.Head.Words, progress.Head.Tone)
	s.count.Set(progress.Under.Words, progress.Under.Tone)
	s.head.Set(head.Head.Words, head.Head.Tone)
	s.when.Set(head.Under.Words, head.Under.Tone)
	s.figures.Show(view.OwnEchoFigures(now))
	words, _ := view.OwnEchoCycles(now)
	runs := view.OwnEchoRuns(now)
	s.cycles.Set(words, widget.Quiet)
	s.cycles.SetEnabled(!runs)
	s.kind.SetEnabled(!runs)
	s.kind.Choose(view.OwnEchoPeaks(now))
	s.offer(now.Live && now.OwnEcho.Usable)
	s.start.SetEnabled(view.OwnEchoBlocked(now) == "")
	s.ending.SetEnabled(runs)
	before := view.OwnEchoHistory(now, historyLines)
	for i, line := range s.history {
		text := ""
		if i < len(before) {
			text = before[i]
		}
		line.SetWords(text)
	}
}

// offer shows what is to be done with a peak's trim, where one is offered.
func (s *ownSheet) offer(usable bool) {
	for _, button := range [...]*widget.Button{s.discard, s.apply} {
		button.SetEnabled(usable)
		if button.Hidden == usable {
			button.Hidden = !usable
			s.choice.Refresh()
		}
	}
}

// openPast shows the strength of the own echoes over time.
func (p *Pane) openPast() {
	closing := widget.NewButton("Close", "own-echo-history-close", "Back to the measurement", nil)
	plot := chart.NewPlot(p.with, "own-echo-history-plot")
	plot.Show(view.OwnEchoPlot(p.now))
	p.with.Open.ShowSheet("own-echo-history-dialog", "Own echoes over time", widget.Column(8,
		widget.Fixed(
			widget.NewProse(
				p.now.Band.Name+": points are measured, their bars a standard error each way; the line is what the "+
					"budget expected. The Moon's reflectivity is known to 3 dB: watch for a change from one evening "+
					"to "+
					"the next.").Small()),
		widget.Part{Object: plot.Object(), Share: 1, Min: 160}), []*widget.Button{closing}, closing)
}
