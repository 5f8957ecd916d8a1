package panel

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/panel/widget"
)

// keys is what the keyboard does wherever no control uses the key itself.
type keys struct {
	window *Window
	holds  map[fyne.KeyName]*widget.Hold
	from   fyne.Focusable // what had the keyboard when an arrow went down

	chordKey fyne.KeyName
	chordAt  uint64
}

// keyLine is a line of the keyboard map.
type keyLine struct{ key, does string }

// keyMap returns the keyboard map, as F1 shows it.
func keyMap() []keyLine {
	return []keyLine{
		{"Esc", "stop whatever moves or is about to, and close what is open or replayed; at rest, what is open first"},
		{"Ctrl+.", "stop, whatever is open or has the keyboard"},
		{"Arrows", "one step: the trim while tracking, the commanded angle while holding; held down, a slow jog"},
		{"Ctrl+T", "track, or end tracking"},
		{"Ctrl+H", "hold here"},
		{"Ctrl+B", "back to the trim before the last change"},
		{"Ctrl+O", "off source, or back on source"},
		{"Ctrl+P", "the next partner of the list; after the last, none"},
		{"Ctrl+Home", "park"},
		{"Ctrl+End", "the list of storm places: wind stow, snow stow"},
		{"Ctrl+K", "request the transmit permit, or withdraw it"},
		{"F2 to F7", "Health, Noise, Survey, Echo, Plan, Records"},
		{"F8", "Spectrum: the receiver's audio"},
		{"F9", "A second pane beside the first, in a wide window"},
		{"1  2  3  4", "step: a tenth or half of the beam, 0.1°, 1°"},
		{"A", "alarms and warnings"},
		{"I", "status in full, and every transmit inhibit"},
		{"N", "a note of this moment"},
		{"L", "a contact of this moment for the log"},
		{"Tab, Shift+Tab", "from control to control"},
		{"Space, Enter", "press the control that has the ring"},
		{"In a sheet", "Page Up, Page Down and the arrows scroll"},
		{"In a chart", "+ and − zoom, Home shows all or goes back to now; " +
			"arrows read it, in Records and Plan they move it; E: picture or table"},
		{"In a replay", "on the chart of Records ← and → move a second, Home and End to its ends"},
		{"In the panorama", "the wheel or + and − magnify it, dragging moves it, Home or a double click shows all"},
		{"On a slider", "arrows choose, Page Up and Page Down by whole degrees, Enter goes there"},
		{"Ctrl and + − 0", "larger, smaller or default text, 80 to 200 %; what has no room is scrolled"},
		{"Ctrl and the wheel", "magnifies where the wheel alone scrolls the window"},
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
			Tap: func() { hand.Tap(heading) },
			Renew: func() {
				// Where the keyboard went elsewhere, nobody would hear that the key was let go.
				if k.covered() || w.window.Canvas().Focused() != k.from {
					k.end()
					return
				}
				hand.Renew(heading)
			},
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
	for name, act := range map[fyne.KeyName]func(){
		fyne.KeyT: w.target.Track, fyne.KeyH: w.target.Hold, fyne.KeyB: w.trims.Back, fyne.KeyO: w.noise.OffSource,
		fyne.KeyP:    w.echo.NextPartner,
		fyne.KeyHome: w.drives.Park, fyne.KeyEnd: w.drives.OpenStow, fyne.KeyK: w.drives.TogglePermit,
	} {
		canvas.AddShortcut(&desktop.CustomShortcut{KeyName: name, Modifier: fyne.KeyModifierControl},
			func(fyne.Shortcut) { k.chord(name, act) })
	}
	w.with.Open.OnOpened(k.end)
	return k
}

// chord acts for Ctrl and a letter, unless something lies over the window or a
// line to type in has the keyboard, and once however long the keys are held.
func (k *keys) chord(name fyne.KeyName, act func()) {
	tick := k.window.now.Tick
	held := k.chordKey == name && tick-k.chordAt < chordAgain
	k.chordKey, k.chordAt = name, tick
	if !held && !k.covered() && !k.typing() {
		act()
	}
}

// chordAgain is how many ticks after a chord the same one counts as new: keys repeat sooner.
const chordAgain = 10

// typing says whether a line to type in has the keyboard.
func (k *keys) typing() bool {
	_, entry := k.window.window.Canvas().Focused().(*widget.Entry)
	return entry
}

// typed takes the keys that are no letters.
func (k *keys) typed(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyEscape:
		k.window.escape()
	case fyne.KeyF1:
		k.window.showKeys()
	case fyne.KeyPageUp, fyne.KeyPageDown, fyne.KeyUp, fyne.KeyDown:
		k.window.with.Open.Scroll(scrolls[event.Name])
	default:
		if at := slices.Index(paneKeys, event.Name); at >= 0 && !k.covered() {
			k.window.right.choose(at)
		}
		if event.Name == fyne.KeyF9 && !k.covered() {
			k.window.toggleSecond()
		}
		if event.Name == fyne.KeyF8 && k.window.spectrum != nil && !k.covered() {
			k.window.spectrum()
		}
	}
}

// scrolls are by how much of what is seen of a sheet the keys scroll it.
var scrolls = map[fyne.KeyName]float32{fyne.KeyPageUp: -0.9, fyne.KeyPageDown: 0.9, fyne.KeyUp: -0.1, fyne.KeyDown: 0.1}

// paneKeys show the panes with a tab, in their order.
var paneKeys = []fyne.KeyName{fyne.KeyF2, fyne.KeyF3, fyne.KeyF4, fyne.KeyF5, fyne.KeyF6, fyne.KeyF7}

// down begins a step or a jog, unless something lies over the window.
func (k *keys) down(event *fyne.KeyEvent) {
	if hold, ok := k.holds[event.Name]; ok && !k.covered() {
		k.from = k.window.window.Canvas().Focused()
		hold.Down()
	}
}

func (k *keys) up(event *fyne.KeyEvent) {
	if hold, ok := k.holds[event.Name]; ok {
		hold.Up()
	}
	if event.Name == k.chordKey {
		k.chordKey = "" // pressed again, it is another press
	}
}

// end ends every press without a step: the focus is gone, or a stop was asked.
func (k *keys) end() {
	for _, hold := range k.holds {
		hold.End()
	}
}

// covered says whether something lies over the window or is about to: then only Esc reaches it.
func (k *keys) covered() bool { return k.window.with.Open.TakesKeys() }

// letter takes the letters: none of them moves the dish or ends a motion, for a
// letter may have been meant for a dialog that is gone.
func (k *keys) letter(letter rune) {
	if k.covered() {
		return
	}
	w := k.window
	switch strings.ToLower(string(letter)) {
	case "1", "2", "3", "4":
		w.with.Hand.SetStep(int(letter - '1'))
	case "a":
		w.top.alarms.open()
	case "i":
		w.showInFull()
	case "n":
		w.openNote()
	case "l":
		w.openContact()
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
			widget.Top(widget.NewText(line.key).Small().Bold().Reserve("Tab, Shift+Tab")),
			widget.Sharing(widget.NewNote(line.does)))))
	}
	close := widget.NewButton("Close", "keys-close", "Close the list", nil)
	w.with.Open.ShowSheet("keys-dialog", "Keyboard", widget.Column(3, parts...), []*widget.Button{close}, close)
}
