//go:build !race

// Without the race detector, which makes painting slow: nothing here runs beside anything.

package panel

import (
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// A picture can be saved of every pane, also while a control of it has the keyboard.
func TestPicturesOfPanes(t *testing.T) {
	w, _ := open(t, fyne.NewSize(1400, 900), nil)
	for _, pane := range w.right.panes {
		w.right.chooseTitle(pane.Title())
		w.show(w.now)
		for range 12 {
			w.window.Canvas().FocusNext()
			if b := widget.Picture(pane.Object()).Bounds(); b.Dx() < 100 || b.Dy() < 100 {
				t.Errorf("%s: %v", pane.Title(), b)
			}
		}
	}
	widget.Picture(w.body)
}
