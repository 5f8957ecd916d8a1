package echo

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openBudget shows what the own echo should be, term by term, and with a partner what each should hear of the other.
func (p *Pane) openBudget() {
	closing := widget.NewButton("Close", "budget-close", "Back to the window", nil)
	parts := []widget.Part{}
	if none := view.BudgetNone(p.now); none != "" {
		parts = append(parts, widget.Fixed(widget.NewText(none).Named("budget-none")))
	} else {
		parts = append(parts, budgetTable("budget-own", "Own echo, the beam on the Moon", p.now.Radio.Budget)...)
	}
	if p.now.Radio != nil && p.now.Radio.HasPartner {
		parts = append(parts, p.askCounterpart()...)
	}
	parts = append(parts, widget.Fixed(widget.NewText("Judged good to 1 dB beside the Moon's own reflectivity, 2 dB for beams under 0.3°; rain, cloud, feed legs and mesh are left out.").Small()),
		widget.Fixed(widget.Row(6, widget.Spring(), widget.Fixed(closing))))
	sheet := p.with.Open.ShowSheet("budget-dialog", "Expected echo", widget.Column(5, parts...), closing)
	closing.SetAct(sheet.Close)
}

// budgetTable are the lines of a budget: term, its figure, the sum so far, and what qualifies it.
func budgetTable(name, head string, b desk.EchoBudget) []widget.Part {
	parts := []widget.Part{widget.Fixed(widget.NewLabel(head).Bold())}
	for _, t := range view.BudgetTerms(b) {
		cell := func(words string, share float32) widget.Part {
			return widget.Part{Object: widget.NewText(words).Small().Named(name), Share: share, Least: 70}
		}
		parts = append(parts, widget.Fixed(widget.Row(8, cell(t.Name, 3), cell(t.Value, 2), cell(t.Sum, 2), cell(t.Note, 4))))
	}
	return parts
}

// askCounterpart asks for the partner's power, dish and noise, and shows what they make.
func (p *Pane) askCounterpart() []widget.Part {
	radio := p.now.Radio
	power, dish, noise := widget.NewEntry("budget-power", "W"), widget.NewEntry("budget-dish", "m"), widget.NewEntry("budget-noise", "K")
	wrong := widget.NewText(" ").Small().Tone(view.Attention).Named("budget-wrong")
	answer := widget.NewText(" ").Small().Named("budget-answer")
	work := func() {
		answer.SetWords(" ")
		c, why := view.CounterpartOf(power.Text, dish.Text, noise.Text)
		wrong.SetWords(why)
		if why == "" {
			answer.SetWords(view.CounterpartWords(radio, c))
		}
	}
	button := widget.NewButton("Work it out", "budget-work", "What each station should hear of the other, by these figures of theirs", work)
	field := func(words string, entry *widget.Entry) widget.Part {
		entry.OnSubmitted = func(string) { work() }
		return widget.Part{Share: 1, Least: 90, Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()), widget.Fixed(fyne.CanvasObject(entry)))}
	}
	return []widget.Part{
		widget.Space(4), widget.Fixed(widget.NewLabel("With " + radio.Partner.Name).Bold()),
		widget.Fixed(widget.Row(8, field("Their power, W", power), field("Their dish, m", dish), field("Their system noise, K", noise), widget.Fixed(button))),
		widget.Fixed(wrong), widget.Fixed(answer),
	}
}
