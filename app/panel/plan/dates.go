package plan

import (
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// maxDates is how many dates the sheet has room for: those that aren't past come first.
const maxDates = 10

// openDates opens the list of the operator's own dates.
func (p *Pane) openDates() {
	if p.now.Status == nil {
		return
	}
	entry := widget.NewEntry("date-entry", "2027-04-17/2027-04-18 activity weekend")
	wrong := widget.NewProse("").Small().Named("date-wrong")
	var shut func()
	order := func(text string, on bool) {
		p.with.Desk.Ask(desk.DatesTo{Date: text, On: on})
		shut()
	}
	add := func() {
		d, err := radio.ParseDate(entry.Text)
		if err != nil {
			wrong.Set("Not taken: "+err.Error(), view.Attention)
			return
		}
		order(d.String(), true)
	}
	entry.OnSubmitted = func(string) { add() }
	parts := []widget.Part{
		widget.Fixed(widget.NewNote("A day and words for it, or the first and last day")),
		widget.Fixed(widget.Row(8, widget.Part{Object: entry, Share: 1, Min: 120},
			widget.Fixed(widget.NewButton("Add", "date-add", "Mark this date in the plan (Enter)",
				add).Looking(widget.Primary)))),
		widget.Fixed(wrong),
	}
	parts = append(parts, p.dateLines(func(d desk.Date) { order(d.String(), false) })...)
	close := widget.NewButton("Close", "dates-close", "Close the list", nil)
	shut = p.with.Open.ShowSheet("dates-dialog", "Dates marked in the plan", widget.Column(5, parts...),
		[]*widget.Button{close}, entry).Close
}

// dateLines are the dates, each with its remove button.
func (p *Pane) dateLines(remove func(desk.Date)) []widget.Part {
	var coming []desk.Date
	for _, d := range p.now.Dates {
		if d.Last.AddDate(0, 0, 1).After(p.now.At) {
			coming = append(coming, d)
		}
	}
	list := append(coming, past(p.now.Dates, len(p.now.Dates)-len(coming))...)
	if len(list) == 0 {
		return []widget.Part{widget.Fixed(widget.NewText("none yet").Small())}
	}
	var parts []widget.Part
	for i, d := range list {
		if i == maxDates {
			return append(parts, widget.Fixed(widget.NewLabel(view.Count(len(list)-i, "more date", "more dates"))))
		}
		out := widget.NewButton("Remove", "date-remove-"+view.Name(d.String()), "Remove the mark "+d.Words,
			func() { remove(d) }).Tight().Sized(widget.SmallText)
		days := d.First.Format(time.DateOnly)
		if d.Last.After(d.First) {
			days += " to " + d.Last.Format(time.DateOnly)
		}
		line := widget.NewProse(days + "  " + d.Words)
		parts = append(parts, widget.Fixed(widget.Row(8, widget.Sharing(line),
			widget.Top(out))))
	}
	return parts
}

// past are the first of a list, the newest first.
func past(list []desk.Date, count int) []desk.Date {
	var out []desk.Date
	for i := count - 1; i >= 0; i-- {
		out = append(out, list[i])
	}
	return out
}
