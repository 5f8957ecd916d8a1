package panel

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// inFullOf is how wide what the words are of is.
const inFullOf = 70

// showInFull opens the sheet of all that the edges of the window say, in full.
func (w *Window) showInFull() {
	if w.keys.covered() {
		return
	}
	body := container.NewStack()
	var shown []view.Line
	show := func(now view.Now) {
		lines := view.InFull(now)
		if slices.Equal(lines, shown) {
			return
		}
		shown = lines
		parts := []widget.Part{}
		for _, line := range lines {
			words := widget.NewProse(line.Words).Tone(line.Tone).Named("in-full-line")
			of := widget.Column(0, widget.Fixed(widget.NewLabel(line.Of)))
			parts = append(parts, widget.Fixed(widget.Row(8, widget.Part{Object: of, Min: inFullOf},
				widget.Sharing(words))))
		}
		body.Objects = []fyne.CanvasObject{widget.Column(5, parts...)}
		body.Refresh()
	}
	show(w.now)
	close := widget.NewButton("Close", "in-full-close", "Close the sheet", nil)
	sheet := w.with.Open.ShowSheet("in-full-dialog", "Status in full", body, []*widget.Button{close}, close)
	sheet.OnTick(show)
}
