package plan

import (
	"beamhelm/app/diary"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openExport asks where to write the month, and as what.
func (p *Pane) openExport() {
	if p.bySkeds {
		p.exportSkeds()
		return
	}
	plan := p.now.Plan
	if plan == nil {
		return
	}
	station, at := p.now.Station, p.now.At
	file := "beamhelm-" + view.Name(plan.Target) + "-" + plan.Month.Format("2006-01")
	save.Ask(p.with, "plan", "Export the month's passes", file, []save.Form{
		{Words: "Table, CSV", Name: "plan-csv", Tip: "The passes as a table, RFC 4180 (Enter)", Ending: ".csv",
			Body: func() ([]byte, error) { return diary.CSV(plan), nil }},
		{Words: "Calendar", Name: "plan-calendar",
			Tip: "The passes as a calendar, RFC 5545, each with an alarm half an hour before", Ending: ".ics",
			Body: func() ([]byte, error) {
				return diary.Calendar(plan, station, at), nil
			}},
		save.PNG("plan-png", widget.Picture(p.object)),
	}, p.told.SetWords)
}
