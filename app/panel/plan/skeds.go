package plan

import (
	"fmt"

	"beamhelm/app/desk"
	"beamhelm/app/diary"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// newSkeds makes what the pane shows of skeds.
func (p *Pane) newSkeds() {
	p.best = widget.NewFigures("plan-sked", maxBest)
	p.facts = widget.NewLabel("").Elastic().Named("plan-sked-facts")
	p.tune = widget.NewLabel("").Elastic().Named("plan-sked-tune")
	p.skeds = widget.NewButton("Skeds", "plan-skeds",
		"The best times of the next four weeks shared with the chosen partners, ranked, in place of the month; "+
			"once more for the month",
		func() { p.with.Desk.Ask(desk.SkedsTo{On: !p.bySkeds}) }).Tight().Sized(widget.SmallText)
	p.length = widget.NewButton("at least 30 min ▾", "plan-sked-length", "The minimum length of a window",
		p.openLengths).
		Tight().Sized(widget.SmallText)
	p.all = widget.NewButton("All ▾", "plan-sked-all",
		"All windows, best first: choose one to see its figures, and the sky then",
		p.openSkeds).Tight().Sized(widget.SmallText)
	p.switchTo(false)
}

// switchTo shows skeds, or the month.
func (p *Pane) switchTo(skeds bool) {
	p.bySkeds = skeds
	p.skeds.Choose(skeds)
	months, windows := []interface {
		Show()
		Hide()
	}{p.target, p.before, p.after, p.next.Object()}, []interface {
		Show()
		Hide()
	}{p.length, p.all, p.best.Object(), p.facts, p.tune}
	if skeds {
		months, windows = windows, months
		p.list.SetWords("Best windows, UTC")
	} else {
		p.list.SetWords("Next passes, UTC")
	}
	for _, part := range months {
		part.Show()
	}
	for _, part := range windows {
		part.Hide()
	}
	if p.object != nil {
		p.object.Refresh()
	}
}

// chart is the picture's: the month, or the four weeks of the skeds.
func (p *Pane) chart() *desk.Plan {
	if p.bySkeds {
		return p.now.Skeds.Chart
	}
	return p.now.Plan
}

// showSkeds shows the windows; it returns the words of the one that is looked at, as those of a moment are.
func (p *Pane) showSkeds(now view.Now) view.Pair {
	lines := view.SkedFigures(now, maxBest)
	for len(lines) < maxBest {
		lines = append(lines, view.Figure{})
	}
	p.best.Show(lines)
	p.length.Set(view.SkedLength(now.Skeds.Shortest)+" ▾", widget.Quiet)
	p.all.SetEnabled(len(now.Skeds.List) > 0)
	terms := view.SkedTerms(now)
	p.facts.SetWords(terms[2])
	p.tune.SetWords(terms[3])
	return view.Pair{Head: view.Phrase{Words: terms[0], Tone: view.Plain},
		Under: view.Phrase{Words: terms[1], Tone: view.Plain}}
}

// openLengths offers the least lengths of a window.
func (p *Pane) openLengths() {
	if p.now.Skeds == nil {
		return
	}
	var items []widget.Item
	for _, length := range desk.SkedLengths() {
		minutes := int(length.Minutes())
		items = append(items, widget.Item{
			Words: view.SkedLength(length), Name: fmt.Sprintf("sked-length-%d", minutes),
			Chosen: length == p.now.Skeds.Shortest,
			Tip:    "Leave out windows shorter than that",
			Act:    func() { p.with.Desk.Ask(desk.SkedsTo{On: true, Minutes: minutes}) },
		})
	}
	p.with.Open.ShowItems("sked-length-list", p.length, items)
}

// openSkeds offers all windows, best first.
func (p *Pane) openSkeds() {
	if p.now.Skeds == nil {
		return
	}
	shown := view.SkedShown(p.now)
	var items []widget.Item
	for i := range p.now.Skeds.List {
		one := &p.now.Skeds.List[i]
		items = append(items, widget.Item{
			Words: view.SkedChoice(one), Name: "sked-" + one.From.UTC().Format("2006-01-02-1504"), Chosen: one == shown,
			Tip: "See this window's figures, and the sky at its best time",
			Act: func() { p.with.Desk.Ask(desk.LookAt{At: one.Best}) },
		})
	}
	p.with.Open.ShowItems("sked-list", p.all, items)
}

// exportSkeds asks where to write the windows, and as what.
func (p *Pane) exportSkeds() {
	skeds, station, at := p.now.Skeds, p.now.Station, p.now.At
	save.Ask(p.with, "plan", "Skeds in a file", "beamhelm-skeds-"+skeds.From.UTC().Format("2006-01-02"), []save.Form{
		{Words: "Table, CSV", Name: "plan-csv", Tip: "The windows as a table, best first, RFC 4180 (Enter)",
			Ending: ".csv",
			Body:   func() ([]byte, error) { return diary.SkedCSV(skeds), nil }},
		{Words: "Calendar", Name: "plan-calendar", Ending: ".ics",
			Tip:  "The windows as a calendar, RFC 5545, each with an alarm half an hour before",
			Body: func() ([]byte, error) { return diary.SkedCalendar(skeds, station, at), nil }},
		save.PNG("plan-png", widget.Picture(p.object)),
	}, p.told.SetWords)
}
