package panel

import (
	"fmt"
	"math"
	"os"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/panel/widget"
)

// scaleVariable is where the window library looks for how large everything is.
const scaleVariable = "FYNE_SCALE"

// scales are the sizes that can be chosen, percent.
func scales() []int { return []int{80, 90, 100, 110, 125, 150, 175, 200} }

// SetScale makes words and all else larger or smaller, percent of the usual
// size; 0 and what can't be chosen change nothing. The window stays as large as it is.
func (w *Window) SetScale(percent int) {
	if !slices.Contains(scales(), percent) {
		return
	}
	if w.parts != nil && w.ticks == 0 {
		size, now := w.window.Canvas().Size(), factor(w.scaleNow())
		w.room = fyne.NewSize(size.Width*now, size.Height*now)
	}
	w.scale, w.wanted = percent, 0
	os.Setenv(scaleVariable, fmt.Sprintf("%.2f", float64(percent)/100))
	w.SetPalette(widget.Current().Name) // the library looks at the scale when it takes a theme
	if w.parts != nil {
		w.ticks = settleTicks
		w.keepRoom()
	}
}

// settling takes the size of words that the keys ask for, and holds the window to its own.
type settling struct {
	wanted int       // percent that the keys ask for; 0 for none
	pause  int       // ticks yet without a key until it is taken
	room   fyne.Size // of the window before its scale changed, in units at 100 %
	ticks  int       // for how many yet it is held to that
}

// pauseTicks is how many ticks without a key the size waits that the keys ask for. To draw all in another size takes
// most of a second: a key pressed ten times, and the Stop after it, would wait for each.
const pauseTicks = 2

// settleTicks is for how many ticks after a change of scale the window is held to its size.
const settleTicks = 30

// settle takes the size that the keys ask for, and holds the window to its own after a change of scale: the desktop
// tells of the sizes between late and in their turn, and what it tells of one scale the library takes in another, so
// that the window would grow off the screen.
func (w *Window) settle() {
	if w.wanted != 0 {
		if w.pause--; w.pause > 0 {
			return
		}
		if wanted := w.wanted; wanted != w.scaleNow() {
			w.SetScale(wanted)
		}
		w.wanted = 0
	}
	if w.ticks > 0 {
		w.ticks--
		w.keepRoom()
	}
}

// keepRoom gives the window the size that it had before the scale changed. The library keeps the size in its units:
// the window would grow with them, and off the screen.
func (w *Window) keepRoom() {
	whole := func(length float32) float32 {
		return float32(math.Floor(float64(length / factor(w.scaleNow()))))
	}
	want, is := fyne.NewSize(whole(w.room.Width), whole(w.room.Height)), w.window.Canvas().Size()
	if math.Abs(float64(is.Width-want.Width)) > 1 || math.Abs(float64(is.Height-want.Height)) > 1 {
		w.window.Resize(want)
	}
}

// factor is how large everything is with a size: the library rounds it to tenths.
func factor(percent int) float32 { return float32(math.Round(float64(percent)/10)) / 10 }

// scaleNow is the size in force, percent.
func (w *Window) scaleNow() int {
	if w.scale == 0 {
		return 100
	}
	return w.scale
}

// askScale asks for a size, percent, which settle takes when the keys have rested.
func (w *Window) askScale(percent int) { w.wanted, w.pause = percent, pauseTicks }

// stepScale asks for the next larger (1) or smaller (-1) size.
func (w *Window) stepScale(by int) {
	from := w.wanted
	if from == 0 {
		from = w.scaleNow()
	}
	at := slices.Index(scales(), from)
	w.askScale(scales()[max(0, min(at+by, len(scales())-1))])
}

// addScaleKeys lets the keyboard change the size, also where the menu has gone off the screen with it. On most
// keyboards the plus is above the equals sign, and comes with Shift.
func (w *Window) addScaleKeys(canvas fyne.Canvas) {
	for key, act := range map[fyne.KeyName]func(){
		fyne.KeyEqual: func() { w.stepScale(1) }, fyne.KeyPlus: func() { w.stepScale(1) },
		fyne.KeyMinus: func() { w.stepScale(-1) }, fyne.Key0: func() { w.askScale(100) },
	} {
		for _, with := range []fyne.KeyModifier{fyne.KeyModifierControl,
			fyne.KeyModifierControl | fyne.KeyModifierShift} {
			canvas.AddShortcut(&desktop.CustomShortcut{KeyName: key, Modifier: with}, func(fyne.Shortcut) { act() })
		}
	}
}

// openScale offers the sizes.
func (w *Window) openScale() {
	var items []widget.Item
	for _, percent := range scales() {
		items = append(items, widget.Item{Words: fmt.Sprintf("%d %%", percent), Name: fmt.Sprintf("scale-%d", percent),
			Tip:    "Ctrl and + or − do the same, Ctrl and 0 is 100 %. What does not fit is reached by scrolling",
			Chosen: percent == w.scaleNow(), Act: func() { w.SetScale(percent) }})
	}
	w.with.Open.ShowItems("scale-menu", w.right.view, items)
}
