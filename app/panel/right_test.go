package panel

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// The keys that do the same as lines of the menu View stand in a column of their own.
func TestKeysOfTheMenuStandInAColumn(t *testing.T) {
	w, _ := open(t, laptop, nil)
	w.Press("view-menu-button")
	keys, words, column := 0, float32(0), float32(-1)
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	widget.Walk(w.with.Open.Object(), func(o fyne.CanvasObject) {
		text, is := o.(*widget.Text)
		switch {
		case is && slices.Contains([]string{"F1", "F9", "I"}, text.ControlWords()):
			keys++
			if column < 0 {
				column = place(text).X
			}
			if place(text).X != column {
				t.Errorf("%s stands at %v, another key at %v", text.ControlWords(), place(text).X, column)
			}
		case is && text.ControlWords() == "Status in full…":
			words = place(text).X + text.MinSize().Width
		}
	})
	if keys != 3 || column < words+10 {
		t.Errorf("%d keys, at %v; words end at %v", keys, column, words)
	}
}
