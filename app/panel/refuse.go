package panel

import (
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// refusalWidth is that of the words of a refusal.
const refusalWidth = 560

// Refuse shows in a small window why the program doesn't start, until it is
// closed: by its button, Esc, Return or the space bar.
func Refuse(app fyne.App, words string) {
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	window := app.NewWindow("Beamhelm does not start")
	window.SetContent(refusal(words, app.Quit))
	window.Canvas().SetOnTypedKey(func(key *fyne.KeyEvent) {
		switch key.Name {
		case fyne.KeyEscape, fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
			app.Quit()
		}
	})
	window.SetFixedSize(true)
	window.CenterOnScreen()
	window.ShowAndRun()
}

// refusal is what such a window holds.
func refusal(words string, end func()) fyne.CanvasObject {
	parts := []widget.Part{widget.Fixed(widget.NewText("Beamhelm does not start").Bold())}
	for line := range strings.Lines(words) {
		// On the standard error the program's name stands first, as is usual there.
		line = view.Sentence(strings.TrimPrefix(line, "beamhelm: "))
		parts = append(parts, widget.Fixed(widget.Lines(line, refusalWidth, func(part string) *widget.Text {
			return widget.NewText(part).Tone(view.Plain)
		})))
	}
	closing := widget.NewButton("Close", "refusal-close", "Close this window", end).Looking(widget.Primary)
	parts = append(parts, widget.Fixed(widget.Row(0,
		widget.Part{Object: widget.NewText(""), Share: 1, Min: refusalWidth - 80}, widget.Fixed(closing))))
	return widget.NewCard(widget.Column(8, parts...))
}
