package survey

import (
	"fmt"
	"slices"
	"strings"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
)

// usualTargets are chosen at first: what most stations hear.
func usualTargets() []string { return []string{"Moon", "Sun"} }

// roundHours are the lengths to choose from.
func roundHours() []int { return []int{1, 2, 4, 8} }

// openRounds asks for the targets and the hours of a survey that goes by itself, or ends it.
func (p *Pane) openRounds() {
	if p.now.Survey.Rounds.Running {
		p.with.Desk.Ask(desk.Order{Kind: desk.RoundsTo})
		return
	}
	names := []string{"Moon", "Sun"}
	if p.now.Scene != nil {
		names = append(names, p.now.Scene.Sources...)
	}
	chosen, hours := usualTargets(), 2
	begin := widget.NewButton("Start", "rounds-begin",
		"The dish goes from target to target automatically; a motion warning sounds before each slew", nil).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "rounds-cancel", "Start nothing", nil)
	var targets []widget.Part
	var row []widget.Part
	for i, name := range names {
		b := widget.NewButton(name, "round-"+name, "Include or exclude it", nil).Tight().Sized(widget.SmallText)
		b.Choose(slices.Contains(chosen, name))
		b.SetAct(func() {
			if at := slices.Index(chosen, name); at >= 0 {
				chosen = slices.Delete(chosen, at, at+1)
			} else {
				chosen = append(chosen, name)
			}
			b.Choose(slices.Contains(chosen, name))
			begin.SetEnabled(len(chosen) > 0)
		})
		row = append(row, widget.Sharing(b))
		if len(row) == 5 || i == len(names)-1 {
			targets = append(targets, widget.Fixed(widget.Row(6, row...)))
			row = nil
		}
	}
	var lengths []widget.Part
	var buttons []*widget.Button
	for _, h := range roundHours() {
		b := widget.NewButton(fmt.Sprintf("%d h", h), fmt.Sprintf("round-hours-%d", h), "How long it goes on", nil).Tight().Sized(widget.SmallText)
		b.Choose(h == hours)
		b.SetAct(func() {
			hours = h
			for i, other := range buttons {
				other.Choose(roundHours()[i] == h)
			}
		})
		buttons = append(buttons, b)
		lengths = append(lengths, widget.Sharing(b))
	}
	caution := widget.NewText("Nobody may be near the dish while it moves automatically. It stops for wind, faults, an open door, and whatever you press.").Small()
	content := widget.Column(8, append(append([]widget.Part{widget.Fixed(widget.NewText("Cross-scans on:").Small())}, targets...),
		widget.Fixed(widget.Row(6, lengths...)), widget.Fixed(caution),
		widget.Fixed(widget.Row(6, widget.Spring(), widget.Fixed(begin), widget.Fixed(cancel))))...)
	sheet := p.with.Open.ShowSheet("rounds-dialog", "Automatic survey", content, cancel)
	cancel.SetAct(sheet.Close)
	begin.SetAct(func() {
		sheet.Close()
		p.with.Desk.Ask(desk.Order{Kind: desk.RoundsTo, On: true, Words: strings.Join(chosen, ","), Index: hours})
	})
}
