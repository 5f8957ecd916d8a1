package receiver

import (
	"fmt"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// fluxSheet lets the solar flux of a day be entered.
type fluxSheet struct {
	pane   *Pane
	date   *widget.Entry
	fluxes []*widget.Entry
	wrong  *widget.Prose
	close  func()
}

// askFlux opens the sheet.
func (p *Pane) askFlux() {
	date, fluxes := view.FluxEntered(p.now)
	s := &fluxSheet{pane: p, date: widget.NewEntry("flux-date", "2027-04-14"),
		wrong: widget.NewProse("").Small().Tone(view.Attention).Named("flux-wrong")}
	s.date.SetText(date)
	s.date.OnSubmitted = func(string) { s.take() }
	field := func(words string, entry *widget.Entry) widget.Part {
		return widget.Part{Share: 1, Min: 90,
			Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()), widget.Fixed(entry))}
	}
	rows := [][]widget.Part{{field("Date, UTC", s.date), widget.Spring(), widget.Spring()}}
	for i, mhz := range view.FluxFrequencies() {
		entry := widget.NewEntry(fmt.Sprintf("flux-%v", mhz), "sfu")
		entry.SetText(fluxes[i])
		entry.OnSubmitted = func(string) { s.take() }
		s.fluxes = append(s.fluxes, entry)
		if i%3 == 0 {
			rows = append(rows, nil)
		}
		rows[1+i/3] = append(rows[1+i/3], field(fmt.Sprintf("%v MHz", mhz), entry))
	}
	save := widget.NewButton("Apply", "flux-apply", "Use this flux for the Sun on its day",
		s.take).Looking(widget.Primary)
	confirm := widget.NewButton("Confirm the newest", "flux-confirm",
		"Use the newest flux entered for another day, with the error that its age gives it",
		func() { s.ask(desk.FluxTo{Confirm: true}) })
	confirm.SetEnabled(p.now.Receiving.SunOld)
	forget := widget.NewButton("Delete all", "flux-delete",
		"Delete all entries: the mean of the solar cycle is assumed",
		func() { s.ask(desk.FluxTo{}) })
	forget.SetEnabled(len(p.now.Receiving.Reports) > 0)
	cancel := widget.NewButton("Cancel", "flux-cancel", "Close without a change", nil)
	taken, history := view.FluxTaken(p.now), chart.NewPlot(p.with, "flux-plot")
	history.Show(view.FluxHistory(p.now))
	parts := []widget.Part{widget.Fixed(widget.NewNote("As solar observatories report it, in solar flux units; " +
		"what is not known stays empty. 2800 MHz is the index of 10.7 cm, as observed."))}
	for _, row := range rows {
		parts = append(parts, widget.Fixed(widget.Row(8, row...)))
	}
	parts = append(parts, widget.Fixed(s.wrong),
		widget.Fixed(widget.NewProse(taken.Words).Small().Tone(taken.Tone).Named("flux-applied")),
		widget.Part{Object: history.Object(), Share: 1, Min: 110})
	s.close = p.with.Open.ShowSheet("flux-dialog", "Solar flux of the day", widget.Column(8, parts...),
		[]*widget.Button{cancel, forget, confirm, save}, s.fluxes[3]).Close
}

func (s *fluxSheet) take() {
	var fluxes []string
	for _, entry := range s.fluxes {
		fluxes = append(fluxes, entry.Text)
	}
	if why := view.FluxWrong(s.date.Text, fluxes); why != "" {
		s.wrong.SetWords(why)
		return
	}
	s.ask(desk.FluxTo{Words: view.FluxWords(s.date.Text, fluxes)})
}

func (s *fluxSheet) ask(o desk.Order) {
	s.close()
	s.pane.with.Desk.Ask(o)
}
