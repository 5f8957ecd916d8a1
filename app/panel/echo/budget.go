package echo

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/ephem/partner"
)

// openBudget shows what the own echo should be, term by term, and with a partner what each should hear of the other.
func (p *Pane) openBudget() {
	closing := widget.NewButton("Close", "budget-close", "Back to the window", nil)
	parts := []widget.Part{}
	if none := view.BudgetNone(p.now); none != "" {
		parts = append(parts, widget.Fixed(widget.NewProse(none).Named("budget-none")))
	} else {
		b, head := view.BudgetNow(p.now)
		parts = append(parts, budgetTable("budget-own", head, b)...)
	}
	if p.now.Radio != nil {
		parts = append(parts, p.polarisation()...)
		if p.now.Radio.HasPartner {
			parts = append(parts, p.askCounterpart()...)
		}
	}
	parts = append(parts, widget.Fixed(widget.NewProse("Accurate to 1 dB besides the Moon's reflectivity, "+
		"2 dB for beams under 0.3°; rain, cloud, feed legs and mesh are left out.").Small()))
	p.with.Open.ShowSheet("budget-dialog", "Expected echo", widget.Column(5, parts...), []*widget.Button{closing},
		closing)
}

// budgetTable are the lines of a budget: term, its figure, the sum so far, and what qualifies it.
func budgetTable(name, head string, b radio.EchoBudget) []widget.Part {
	parts := []widget.Part{widget.Fixed(widget.NewLabel(head).Bold())}
	for _, t := range view.BudgetTerms(b) {
		figure := func(words string) widget.Part {
			text := widget.NewText(words).Small().Right().Named(name)
			return widget.Part{Object: widget.Column(0, widget.Fixed(text)), Min: 92}
		}
		term := []widget.Part{widget.Fixed(widget.Row(8, widget.Sharing(widget.NewProse(t.Name).Small().Named(name)),
			figure(t.Value), figure(t.Sum)))}
		if t.Note != "" {
			term = append(term, widget.Fixed(widget.NewNote(t.Note).Named(name)))
		}
		parts = append(parts, widget.Fixed(widget.Column(0, term...)))
	}
	return parts
}

// askCounterpart asks for the partner's power, dish and noise, and shows what they make.
func (p *Pane) askCounterpart() []widget.Part {
	radio := p.now.Radio
	power, dish, noise := widget.NewEntry("budget-power", "W"), widget.NewEntry("budget-dish", "m"),
		widget.NewEntry("budget-noise", "K")
	for i, text := range view.CounterpartTexts(radio.Partner.Equipment) {
		[]*widget.Entry{power, dish, noise}[i].SetText(text)
	}
	wrong := widget.NewProse("").Small().Tone(view.Attention).Named("budget-wrong")
	answer := widget.NewProse("").Small().Named("budget-answer")
	work := func() {
		answer.SetWords("")
		c, why := view.CounterpartOf(power.Text, dish.Text, noise.Text)
		wrong.SetWords(why)
		if why == "" {
			answer.SetWords(view.CounterpartWords(radio, c))
			p.keepEquipment(radio.Partner.Name, c)
		}
	}
	button := widget.NewButton("Work it out", "budget-work",
		"What each station should hear of the other, by these figures of theirs, which are kept with the partner", work)
	field := func(words string, entry *widget.Entry) widget.Part {
		entry.OnSubmitted = func(string) { work() }
		return widget.Part{Share: 1, Min: 90, Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()),
			widget.Fixed(fyne.CanvasObject(entry)))}
	}
	return []widget.Part{
		widget.Space(4), widget.Fixed(widget.NewLabel("With " + radio.Partner.Name).Bold()),
		widget.Fixed(widget.Row(8, field("Power, W", power), field("Dish, m", dish), field("System noise, K", noise))),
		widget.Fixed(widget.Row(8, widget.Sharing(wrong), widget.Top(button))), widget.Fixed(answer),
	}
}

// keepEquipment keeps what was entered of a partner in the list.
func (p *Pane) keepEquipment(name string, c radio.Counterpart) {
	list := listed(p.now.Radio)
	for i := range list {
		if list[i].Name == name && list[i].Equipment != c {
			list[i].Equipment = c
			p.with.Desk.Ask(desk.PartnersTo{CSV: string(partner.Write(list))})
			return
		}
	}
}

// polarisation are the lines of what becomes of polarisation, and where the ionosphere matters the
// entry of its electron content.
func (p *Pane) polarisation() []widget.Part {
	radio := p.now.Radio
	lines := view.PolarisationLines(radio)
	if len(lines) == 0 {
		return nil
	}
	parts := []widget.Part{widget.Space(4), widget.Fixed(widget.NewLabel("Polarisation").Bold())}
	for _, line := range lines {
		cell := func(words string, tone view.Tone) widget.Part {
			prose := widget.NewProse(words).Small().Tone(tone).Named("budget-polarisation")
			return widget.Sharing(widget.Column(0, widget.Fixed(prose)))
		}
		parts = append(parts, widget.Fixed(widget.Row(8, cell(line.Name, view.Plain),
			cell(line.Value.Words, line.Value.Tone),
			cell(line.Note.Words, view.Faint))))
	}
	if !radio.Faraday.Matters || !radio.Faraday.Linear {
		return parts
	}
	entry := widget.NewEntry("budget-content", "TECU")
	told := widget.NewProse(view.ContentWords(radio)).Small().Named("budget-content-words")
	set := widget.NewButton("Set", "budget-content-set",
		"Take this vertical electron content for six hours, from a map of the day; nothing goes back to what is "+
			"expected by local time and solar cycle", func() {
			tecu, err := view.ParseContent(entry.Text)
			if err != nil {
				told.Set(view.Sentence(err.Error()), view.Attention)
				return
			}
			p.with.Desk.Ask(desk.ContentTo{TECU: tecu})
			told.Set("Taken: open the budget again", view.Faint)
		})
	return append(parts, widget.Fixed(told),
		widget.Fixed(widget.Row(8, widget.Fixed(widget.NewText("Electron content, TECU").Small()),
			widget.Part{Object: entry, Min: 90}, widget.Fixed(set), widget.Spring())))
}
