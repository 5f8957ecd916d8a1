package panel

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

const (
	// refusalWidth is that of the words of a refusal.
	refusalWidth = 560
	// refusalLines is how many lines of them are shown.
	refusalLines = 8
)

// Way is a way on that a refusal offers.
type Way struct {
	Words, Name, Tip string
	// Act takes it. What it returns is told in the window; where that is nothing, the window closes.
	Act func() string
}

// Refuse shows in a small window why the program doesn't start, with the ways
// on, until it is closed: by its button, Esc, Return or the space bar.
func Refuse(app fyne.App, words string, ways []Way) {
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	window := app.NewWindow("Beamhelm does not start")
	window.SetContent(refusal(words, ways, app.Quit))
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
func refusal(words string, ways []Way, end func()) fyne.CanvasObject {
	parts := []widget.Part{widget.Fixed(widget.NewText("Beamhelm does not start").Bold())}
	lines := strings.Split(strings.TrimSpace(words), "\n")
	if more := len(lines) - refusalLines; more > 0 {
		lines = append(lines[:refusalLines], fmt.Sprintf("and %d more", more))
	}
	for _, line := range lines {
		// On the standard error the program's name stands first, as is usual there.
		line = view.Sentence(strings.TrimPrefix(line, "beamhelm: "))
		parts = append(parts, widget.Fixed(widget.Lines(line, refusalWidth, func(part string) *widget.Text {
			return widget.NewText(part).Tone(view.Plain)
		})))
	}
	told := widget.NewProse(" \n ").Named("refusal-told") // the room of what a way tells
	buttons := []widget.Part{widget.Spring()}
	for _, way := range ways {
		buttons = append(buttons, widget.Fixed(widget.NewButton(way.Words, way.Name, way.Tip, func() {
			if words := way.Act(); words != "" {
				told.Set(words, view.Plain)
			} else {
				end()
			}
		})))
	}
	closing := widget.NewButton("Close", "refusal-close", "Close this window", end).Looking(widget.Primary)
	buttons = append(buttons, widget.Fixed(closing))
	if len(ways) > 0 {
		parts = append(parts, widget.Fixed(told))
	}
	parts = append(parts, widget.Fixed(widget.Row(8, widget.Part{Object: widget.NewText(""), Share: 1,
		Min: 1}, widget.Fixed(widget.Row(8, buttons...)))))
	return widget.NewCard(widget.Column(8, parts...))
}
