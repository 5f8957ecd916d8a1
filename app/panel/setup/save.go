package setup

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/commission"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openSave shows what changes, and saves it where the dish is at rest.
func (p *Pane) openSave() {
	changes := p.draft.Changes()
	if len(changes) == 0 || len(p.draft.Faults()) > 0 {
		return
	}
	var lines []widget.Part
	for _, c := range changes {
		lines = append(lines, widget.Fixed(widget.Row(8, widget.Part{Object: widget.NewLabel(c.Key).Elastic(), Share: 5},
			widget.Part{Object: widget.NewText(c.Before).Small().Elastic().Tone(view.Old), Share: 3}, widget.Fixed(widget.NewLabel("→")),
			widget.Part{Object: widget.NewText(c.After).Small().Elastic(), Share: 3})))
	}
	scroll := container.NewVScroll(widget.Column(3, lines...))
	scroll.SetMinSize(fyne.NewSize(560, min(260, float32(24+20*len(lines)))))
	path, own := p.keeper.Where()
	words := fmt.Sprintf("Written to %s. The program then closes, with drive power off, and opens again with these settings.", path)
	if !own {
		words += " Numbers of the simulated dish that you have not changed are in it too: go through every chapter before the first motor turns."
	}
	wrong := widget.NewText(" ").Small().Named("setup-wrong")
	now := widget.NewButton("Save and open again", "setup-save-now", "Only with the dish at rest", nil).Looking(widget.Primary)
	later := widget.NewButton("Save for the next start", "setup-save-later", "Written now; in force from the next start on", nil)
	cancel := widget.NewButton("Cancel", "setup-cancel", "Write nothing (Esc also stops the dish)", nil)
	sheet := p.with.Open.ShowSheet("setup-dialog", view.Count(len(changes), "change", "changes"), widget.Column(8,
		widget.Fixed(scroll), widget.Fixed(widget.Paragraph(words, 84, view.Plain)), widget.Fixed(wrong),
		widget.Fixed(widget.Row(8, widget.Fixed(cancel), widget.Spring(), widget.Fixed(later), widget.Fixed(now)))), cancel)
	cancel.SetAct(sheet.Close)
	save := func() bool {
		if err := p.keeper.Save(p.draft.Settings()); err != nil {
			wrong.Set(fmt.Sprintf("Not written: %v", err), view.Attention)
			return false
		}
		return true
	}
	later.SetAct(func() {
		if save() {
			sheet.Close()
			p.told.Set("Saved: in force from the next start on", view.Plain)
		}
	})
	now.SetAct(func() {
		switch {
		case p.now.Status != nil && (p.now.Moving || view.Armed(p.now)):
			wrong.Set("The dish moves, or is about to: hold it first", view.Attention)
		case save():
			sheet.Close()
			p.keeper.Restart()
		}
	})
}

// Take puts suggested values into the draft, and shows what changes.
func (p *Pane) Take(list []commission.Suggestion) {
	for _, one := range list {
		if wrong := p.draft.Set(one.Key, one.Value); wrong != "" {
			p.build()
			p.say(one.Key + ": " + wrong)
			return
		}
	}
	p.build()
	p.openSave()
}
