package panel

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// A tab, or what the menu View shows, takes the place of a sheet that lies over the panes. What was typed into it isn't
// lost: then a list asks first, and nothing lights that isn't seen.
func TestATabTakesThePlaceOfASheet(t *testing.T) {
	for _, sheet := range []struct {
		opener, entry, name string
	}{{"source-select", "", ""}, {"station-in-full", "", "in-full-dialog"},
		{"place-button", "place-az-entry", "place-dialog"}} {
		for _, leave := range [][]string{{"pane-echo"}, {"view-menu-button", "handbook"}} {
			h := openWhole(t, evening)
			lit := func() bool { return h.Layout().Control["pane-health"].On }
			press := func(names ...string) {
				t.Helper()
				for _, name := range names {
					h.press(name)
				}
			}
			press(sheet.opener)
			press(leave...)
			if h.top() != "" || lit() {
				t.Errorf("%s left by %v: %q is open, Health lit %v", sheet.opener, leave, h.top(), lit())
			}
			if sheet.entry == "" {
				continue
			}
			h.right.choose(0)
			press(sheet.opener)
			entry := focusable(t, h.Window)[sheet.entry].(*widget.Entry)
			entry.SetText("12")
			press(leave...)
			if h.top() != "leave-list" || !lit() {
				t.Fatalf("with an entry: %q is open, Health lit %v", h.top(), lit())
			}
			press("leave-list-cancel")
			if h.top() != sheet.name || entry.Text != "12" {
				t.Errorf("cancelled: %q is open, with %q", h.top(), entry.Text)
			}
			press(leave...)
			press("leave-discard")
			if h.top() != "" || lit() {
				t.Errorf("discarded: %q is open, Health lit %v", h.top(), lit())
			}
		}
	}
}

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
