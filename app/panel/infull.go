package panel

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

const (
	inFullWidth  = 640 // of the words
	inFullHeight = 420 // at most
	inFullOf     = 70  // of what they are of
)

// showInFull opens the sheet of all that the edges of the window say, in full.
func (w *Window) showInFull() {
	if w.keys.covered() {
		return
	}
	body := container.NewStack()
	scroll := container.NewVScroll(body)
	var shown []view.Line
	show := func(now view.Now) {
		lines := view.InFull(now)
		if slices.Equal(lines, shown) {
			return
		}
		shown = lines
		parts := []widget.Part{}
		for _, line := range lines {
			words := widget.Lines(line.Words, inFullWidth, func(words string) *widget.Text {
				return widget.NewText(words).Tone(line.Tone).Named("in-full-line")
			})
			of := widget.Column(0, widget.Fixed(widget.NewLabel(line.Of)))
			parts = append(parts, widget.Fixed(widget.Row(8, widget.Part{Object: of, Least: inFullOf}, widget.Sharing(words))))
		}
		body.Objects = []fyne.CanvasObject{widget.Column(5, parts...)}
		body.Refresh()
	}
	show(w.now)
	scroll.SetMinSize(fyne.NewSize(inFullWidth+inFullOf+24, min(body.MinSize().Height, inFullHeight)))
	close := widget.NewButton("Close", "in-full-close", "Close the sheet", nil)
	sheet := w.with.Open.ShowSheet("in-full-dialog", "Status in full", widget.Column(8,
		widget.Fixed(scroll), widget.Fixed(widget.Row(6, widget.Spring(), widget.Fixed(close)))), close)
	sheet.OnTick(show)
	close.SetAct(sheet.Close)
}
