package panel

import (
	"strings"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Notes keeps what the operator wants to keep of a moment; the window gives the
// words and the operator's name, the rest is that of the moment.
type Notes interface {
	// Stamp takes the moment: what is known of it when the key is pressed, not when the words are done.
	Stamp() (keep func(words, operator string))
	// Operator is the name that was given last.
	Operator() string
}

// did tells at the lower edge what the window itself has done, until newer events take its place.
func (w *Window) did(words string) {
	w.foot.events.add(desk.Event{At: w.now.At, Words: message.Text(words)})
}

// longestNote is how many characters a note may have.
const longestNote = 500

// openNote asks for the words of a note of this moment.
func (w *Window) openNote() {
	if w.notes == nil || w.keys.covered() {
		return
	}
	at := view.Clock(w.now.At)
	keep := w.notes.Stamp()
	words := widget.NewEntry("note-text", "heard our echo, 6 dB; a contact; rain on the feed")
	operator := widget.NewEntry("note-operator", "name or call sign")
	operator.SetText(w.notes.Operator())
	save := widget.NewButton("Save", "note-save",
		"Keep the note with the time, place, Doppler, noise, band and partner of the moment at which it was begun",
		nil).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "note-cancel", "Discard the note", nil)
	save.SetEnabled(false)
	sheet := w.with.Open.ShowSheet("note-dialog", "Note of "+at+" UTC", widget.Column(8,
		widget.Fixed(words),
		widget.Fixed(widget.Row(8, widget.Fixed(widget.NewLabel("Operator")), widget.Sharing(operator)))),
		[]*widget.Button{cancel, save}, words)
	done := func() {
		text := strings.TrimSpace(words.Text)
		if text == "" {
			return
		}
		if runes := []rune(text); len(runes) > longestNote {
			text = string(runes[:longestNote])
		}
		sheet.Close()
		keep(text, strings.TrimSpace(operator.Text))
		w.did("Note saved")
	}
	words.OnChanged = func(text string) { save.SetEnabled(strings.TrimSpace(text) != "") }
	words.OnSubmitted = func(string) { done() }
	operator.OnSubmitted = func(string) { done() }
	save.SetAct(done)
}
