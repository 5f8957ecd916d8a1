package receiver

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// dipSheet says what a sky dip will do, begins one, and shows what the newest came to.
type dipSheet struct {
	pane                 *Pane
	azimuth              *widget.Entry
	wrong, note          *widget.Prose
	lines                [3]*widget.Prose
	head, when           *widget.Text
	figures              *widget.Figures
	plot                 *chart.Plot
	last                 *desk.DipResult
	work, start, closing *widget.Button
	close                func()
}

// openDip opens the sheet, and has the desk work out what a dip would do.
func (p *Pane) openDip() {
	s := &dipSheet{pane: p, azimuth: widget.NewEntry("dip-azimuth", "the best one"),
		plot:  chart.NewPlot(p.with, "dip-plot"),
		wrong: widget.NewProse("").Small().Tone(view.Attention).Named("dip-wrong"),
		head:  widget.NewText("").Bold().Elastic().Named("dip-head"), when: widget.NewLabel("").Right().Elastic(),
		note: widget.NewProse("").Small().Named("dip-note"), figures: widget.NewFigures("dip", 4),
	}
	for i := range s.lines {
		s.lines[i] = widget.NewProse("").Small().Rows(2).Named([...]string{"dip-where", "dip-what", "dip-care"}[i])
	}
	s.azimuth.OnSubmitted = func(string) { s.plan() }
	s.work = widget.NewButton("Work out", "dip-plan",
		"Work out what a sky dip at this azimuth would do (Enter); nothing moves", s.plan)
	s.start = widget.NewButton("Start", "dip-start", "Start the sky dip: the dish moves by itself", s.begin).
		Looking(widget.Primary)
	s.closing = widget.NewButton("Close", "dip-close", "Close without starting; a sky dip that runs goes on", nil)
	s.show(p.now)
	sheet := p.with.Open.ShowSheet("dip-dialog", "Sky dip: level against elevation", widget.Column(6,
		widget.Fixed(widget.Row(8, widget.Fixed(widget.NewLabel("Azimuth, degrees")),
			widget.Part{Object: s.azimuth, Share: 1, Min: 110}, widget.Fixed(s.work))),
		widget.Fixed(s.wrong),
		widget.Fixed(s.lines[0]), widget.Fixed(s.lines[1]), widget.Fixed(s.lines[2]),
		widget.Fixed(widget.Row(6, widget.Part{Object: s.head, Share: 3}, widget.Part{Object: s.when, Share: 2})),
		widget.Part{Object: s.plot.Object(), Share: 3, Min: 130},
		widget.Part{Object: s.figures.Object(), Share: 2, Min: 66},
		widget.Fixed(s.note)), []*widget.Button{s.closing, s.start}, s.closing)
	s.close = sheet.Close
	p.dip = s
	s.plan()
}

// plan has the desk work out what a dip at the azimuth entered would do.
func (s *dipSheet) plan() {
	deg, err := view.ParseDipAzimuth(s.azimuth.Text)
	if err != nil {
		s.wrong.SetWords(view.Sentence(err.Error()))
		return
	}
	s.wrong.SetWords("")
	az := unit.Angle(math.NaN())
	if !math.IsNaN(deg) {
		az = unit.AngleFromDeg(deg)
	}
	s.pane.with.Desk.Ask(desk.SkyDip{Az: az})
}

// begin starts what is shown.
func (s *dipSheet) begin() {
	plan := s.pane.now.Receiving.Dip.Plan
	if plan == nil || view.DipBlocked(s.pane.now) != "" {
		return
	}
	s.close()
	s.pane.with.Desk.Ask(desk.SkyDip{Az: plan.Az.Mod1(), Begin: true})
}

// show shows the plan and the newest result.
func (s *dipSheet) show(now view.Now) {
	if now.Status == nil {
		return
	}
	for i, line := range view.DipPlanLines(now) {
		s.lines[i].Set(line.Words, line.Tone)
	}
	s.start.SetEnabled(view.DipBlocked(now) == "")
	head, note := view.DipHead(now), view.DipNote(now)
	s.head.Set(head.Head.Words, head.Head.Tone)
	s.when.Set(head.Under.Words, head.Under.Tone)
	s.note.Set(note.Words, note.Tone)
	s.figures.Show(view.DipFigures(now))
	if last := now.Receiving.Dip.Last; last != s.last {
		s.last = last
		s.plot.Show(view.DipPlot(last))
	}
}
