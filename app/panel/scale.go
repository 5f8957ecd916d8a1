package panel

import (
	"fmt"
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
// size; 0 and what can't be chosen leave the desktop's own.
func (w *Window) SetScale(percent int) {
	if !slices.Contains(scales(), percent) {
		return
	}
	w.scale = percent
	os.Setenv(scaleVariable, fmt.Sprintf("%.2f", float64(percent)/100))
	w.SetPalette(widget.Current().Name) // the library looks at the scale when it takes a theme
}

// stepScale goes to the next larger (1) or smaller (-1) size.
func (w *Window) stepScale(by int) {
	at := slices.Index(scales(), w.scale)
	if at < 0 {
		at = slices.Index(scales(), 100)
	}
	w.SetScale(scales()[max(0, min(at+by, len(scales())-1))])
}

// addScaleKeys lets the keyboard change the size, also where the menu has gone off the screen with it.
func (w *Window) addScaleKeys(canvas fyne.Canvas) {
	for key, act := range map[fyne.KeyName]func(){
		fyne.KeyEqual: func() { w.stepScale(1) }, fyne.KeyPlus: func() { w.stepScale(1) }, fyne.KeyMinus: func() { w.stepScale(-1) }, fyne.Key0: func() { w.SetScale(100) },
	} {
		canvas.AddShortcut(&desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierControl}, func(fyne.Shortcut) { act() })
	}
}

// openScale offers the sizes.
func (w *Window) openScale() {
	var items []widget.Item
	for _, percent := range scales() {
		items = append(items, widget.Item{Words: fmt.Sprintf("%d %%", percent), Name: fmt.Sprintf("scale-%d", percent),
			Tip: "Ctrl and + or − do the same, Ctrl and 0 is 100 %", Chosen: percent == w.scale, Act: func() { w.SetScale(percent) }})
	}
	w.with.Open.ShowItems("scale-menu", w.right.view, items)
}
