package echo

import (
	"strconv"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// historyLines is how many earlier results the sheet shows.
const historyLines = 5

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
}

// openOwn opens the sheet. Nothing is begun.
func (p *Pane) openOwn() {
	s := &ownSheet{pane: p, figures: widget.NewFigures("own-echo", 6),
		state: widget.NewText("").Sized(widget.FigureText).Bold().Elastic().Named("own-echo-state"),
		count: widget.NewLabel("").Elastic().Named("own-echo-count"),
		head:  widget.NewProse("").Named("own-echo-head"), when: widget.NewLabel("").Elastic()}
	for i := range s.lines {
		s.lines[i] = widget.NewProse("").Small().Named([...]string{"own-echo-run", "own-echo-dials", "own-echo-expected",
			"own-echo-care"}[i])
	}
	for i := range s.history {
		s.history[i] = widget.NewProse("").Small().Named("own-echo-before-" + strconv.Itoa(i))
	}
	s.cycles = widget.NewButton("10 cycles", "own-echo-cycles", "How many cycles the next run has: 5, 10, 20 or 40",
		s.turn).
		Tight().Sized(widget.SmallText).Reserve("40 cycles")
	s.start = widget.NewButton("Start", "own-echo-start",
		"Request the transmit permit and begin: the station transmits", s.begin).Looking(widget.Primary)
	s.ending = widget.NewButton("End run", "own-echo-end",
		"End the run: the key drops at once. Esc and STOP do the same, and stop the dish",
		func() { p.with.Desk.Ask(desk.Order{Kind: desk.MeasureEchoes}) })
	closing := widget.NewButton("Close", "own-echo-close", "Close; a run goes on", nil)
	parts := []widget.Part{}
	for _, line := range s.lines {
		parts = append(parts, widget.Fixed(line))
	}
	parts = append(parts, widget.Fixed(widget.Row(8, widget.Sharing(s.state), widget.Fixed(s.cycles))),
		widget.Fixed(s.count),
		widget.Fixed(s.head), widget.Fixed(s.when),
		widget.Part{Object: s.figures.Object(), Share: 2, Least: 118},
		widget.Fixed(widget.NewLabel("Earlier on this band")))
	for _, line := range s.history {
		parts = append(parts, widget.Fixed(line))
	}
	s.show(p.now)
	p.with.Open.ShowSheet("own-echo-dialog", "Own echo", widget.Column(5, parts...),
		[]*widget.Button{closing, s.ending, s.start}, closing).OnTick(s.show)
}

// turn chooses the next number of cycles.
func (s *ownSheet) turn() {
	_, next := view.OwnEchoCycles(s.pane.now)
	s.pane.with.Desk.Ask(desk.Order{Kind: desk.MeasureEchoes, Index: next})
}

// begin starts what is shown.
func (s *ownSheet) begin() {
	if view.OwnEchoBlocked(s.pane.now) == "" {
		s.pane.with.Desk.Ask(desk.Order{Kind: desk.MeasureEchoes, On: true})
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
