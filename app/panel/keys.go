package panel

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// keys is what the keyboard does wherever no control uses the key itself.
type keys struct {
	window *Window
	holds  map[fyne.KeyName]*widget.Hold
}

// keyLine is a line of the keyboard map.
type keyLine struct{ key, does string }

// keyMap returns the keyboard map, as F1 shows it.
func keyMap() []keyLine {
	return []keyLine{
		{"Esc, or Ctrl+.", "stop every motion, and close what is open; anywhere, at any time"},
		{"Arrows", "one step: the trim while tracking, the want while holding; held down, a slow jog"},
		{"1  2  3", "a step is 0.1°, 0.5° or 1° on the sky"},
		{"M  S", "the Moon or the Sun becomes the target"},
		{"T", "track, or end tracking"},
		{"H", "hold here"},
		{"B", "back to the trim before the last change"},
		{"O", "look aside of the target, or back"},
		{"A", "alarms and warnings"},
		{"N", "a note of this moment"},
		{"P", "the next partner of the list; after the last, none"},
		{"Tab, Shift+Tab", "from control to control"},
		{"Space, Enter", "press the control that has the ring"},
		{"In a chart", "arrows move it or look at another moment, + and − zoom, Home goes back to now"},
		{"On a slider", "arrows choose, Page Up and Page Down by whole degrees, Enter goes there"},
		{"Ctrl and + − 0", "everything larger, smaller, or as usual"},
		{"F1", "this list"},
	}
}

func newKeys(w *Window) *keys {
	k := &keys{window: w, holds: map[fyne.KeyName]*widget.Hold{}}
	hand := w.with.Hand
	for name, heading := range map[fyne.KeyName]widget.Heading{
		fyne.KeyUp: widget.Upwards, fyne.KeyDown: widget.Downwards,
		fyne.KeyLeft: widget.Leftwards, fyne.KeyRight: widget.Rightwards,
	} {
		k.holds[name] = &widget.Hold{
			Tap:   func() { hand.Tap(heading) },
			Renew: func() { hand.Renew(heading) },
		}
	}
	canvas := w.window.Canvas()
	canvas.SetOnTypedKey(k.typed)
	canvas.SetOnTypedRune(k.letter)
	if d, ok := canvas.(desktop.Canvas); ok {
		d.SetOnKeyDown(k.down)
		d.SetOnKeyUp(k.up)
	}
	canvas.AddShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyPeriod, Modifier: fyne.KeyModifierControl},
		func(fyne.Shortcut) { w.Stop() })
	return k
}

// typed takes the keys that are no letters.
func (k *keys) typed(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyEscape:
		k.window.Stop()
	case fyne.KeyF1:
		k.window.showKeys()
	}
}

// down begins a step or a jog, unless something lies over the window.
func (k *keys) down(event *fyne.KeyEvent) {
	if hold, ok := k.holds[event.Name]; ok && !k.covered() {
		hold.Down()
	}
}

func (k *keys) up(event *fyne.KeyEvent) {
	if hold, ok := k.holds[event.Name]; ok {
		hold.Up()
	}
}

// end ends every press without a step: the focus is gone, or a stop was asked.
func (k *keys) end() {
	for _, hold := range k.holds {
		hold.End()
	}
}

// covered says whether something lies over the window: then only Esc reaches it.
func (k *keys) covered() bool { return k.window.with.Open.Covers() }

func (k *keys) letter(letter rune) {
	if k.covered() {
		return
	}
	w := k.window
	switch strings.ToLower(string(letter)) {
	case "1", "2", "3":
		w.with.Hand.SetStep(widget.Steps()[letter-'1'])
	case "m":
		w.target.Moon()
	case "s":
		w.target.Sun()
	case "t":
		w.target.Track()
	case "h":
		w.target.Hold()
	case "b":
		w.trims.Back()
	case "o":
		w.noise.Aside()
	case "p":
		w.echo.NextPartner()
	case "a":
		w.top.alarms.open()
	case "n":
		w.openNote()
	}
}

// showKeys opens the keyboard map.
func (w *Window) showKeys() {
	if w.keys.covered() {
		return
	}
	parts := []widget.Part{}
	for _, line := range keyMap() {
		parts = append(parts, widget.Fixed(widget.Row(12,
			widget.Fixed(widget.NewText(line.key).Bold().Reserve("Tab, Shift+Tab")),
			widget.Fixed(widget.NewText(line.does).Tone(view.Faint)))))
	}
	close := widget.NewButton("Close", "keys-close", "Close the list (Esc also stops the dish)", nil)
	parts = append(parts, widget.Space(4), widget.Fixed(widget.Row(6, widget.Spring(), widget.Fixed(close))))
	sheet := w.with.Open.ShowSheet("keys-dialog", "Keyboard", widget.Column(5, parts...), close)
	close.SetAct(sheet.Close)
}
