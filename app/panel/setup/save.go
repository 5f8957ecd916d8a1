package setup

import (
	"fmt"

	"beamhelm/app/commission"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openSave shows what changes, and saves it where the dish is at rest.
func (p *Pane) openSave() {
	changes := p.draft.Changes()
	if len(changes) == 0 || len(p.draft.Faults()) > 0 {
		return
	}
	value := func(words string, tone view.Tone) widget.Part {
		return widget.Sharing(widget.Column(0, widget.Fixed(widget.NewProse(words).Small().Tone(tone))))
	}
	var lines []widget.Part
	for _, c := range changes {
		lines = append(lines, widget.Fixed(widget.Column(0, widget.Fixed(widget.NewNote(c.Key)),
			widget.Fixed(widget.Row(8, value(c.Before, view.Old), widget.Top(widget.NewLabel("→")),
				value(c.After, view.Plain))))))
	}
	path, own := p.keeper.Where()
	words := fmt.Sprintf(
		"Written to %s. The program then closes, with drive power off, and opens again with these settings.", path)
	if !own {
		words += " Values of the simulated dish that you have not changed are saved too: go through every chapter " +
			"before the first motor turns."
	}
	wrong := widget.NewProse("").Small().Named("setup-wrong")
	now := widget.NewButton("Save and restart", "setup-save-now", "Only with the dish at rest",
		nil).Looking(widget.Primary)
	later := widget.NewButton("Save for the next start", "setup-save-later", "Written; in force from the next start",
		nil)
	cancel := widget.NewButton("Cancel", "setup-cancel", "Write nothing", nil)
	sheet := p.with.Open.ShowSheet("setup-dialog", view.Count(len(changes), "change", "changes"), widget.Column(8,
		widget.Fixed(widget.NewProse(words).Small()), widget.Fixed(wrong), widget.Fixed(widget.Column(6, lines...))),
		[]*widget.Button{cancel, later, now}, cancel)
	w := &writing{pane: p, wrong: wrong, buttons: [2]*widget.Button{now, later}}
	w.job.Mark = w.mark
	sheet.OnClosed(w.job.Cancel)
	later.SetAct(func() {
		w.write(func() {
			sheet.Close()
			p.told.Set("Saved: in force from the next start", view.Plain)
		})
	})
	now.SetAct(func() {
		if w.moves() {
			return
		}
		w.write(func() {
			if w.moves() { // it began while the disk was waited for
				return
			}
			sheet.Close()
			p.keeper.Restart()
		})
	})
}

// writing is the sheet at work.
type writing struct {
	pane    *Pane
	wrong   *widget.Prose
	buttons [2]*widget.Button
	job     offwindow.Job
}

func (w *writing) mark(busy bool) {
	for _, b := range w.buttons {
		b.SetEnabled(!busy)
	}
	if busy {
		w.wrong.Set("Writing…", view.Faint)
	}
}

// moves says whether the dish moves or is about to, or a board is being written, and why nothing is done then.
func (w *writing) moves() bool {
	if w.pane.Writing() {
		w.wrong.Set("The firmware of a board is being written: wait until it is done", view.Attention)
		return true
	}
	now := w.pane.now
	if now.Status == nil || !now.Moving && !view.Armed(now) {
		return false
	}
	w.wrong.Set("The dish moves, or is about to: hold it first", view.Attention)
	return true
}

// write writes the draft beside the window's goroutine, and goes on where that went well.
func (w *writing) write(then func()) {
	draft, keeper := w.pane.draft.Settings(), w.pane.keeper
	offwindow.Do(&w.job, offwindow.Usual, func(ctx offwindow.Context) (struct{}, error) {
		return struct{}{}, keeper.Save(ctx, draft)
	}, func(_ struct{}, err error) {
		if err != nil {
			w.wrong.Set(offwindow.Unwritten(err), view.Attention)
			return
		}
		then()
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
