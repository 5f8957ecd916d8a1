package widget

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
)

// A menu tells what the line under the pointer or with the keyboard does beneath its lines, whole, and covers none of
// them.
func TestAMenuTellsWhatALineDoes(t *testing.T) {
	button := NewButton("Menu", "opener", "", nil)
	w, _ := window(t, nil)
	open := NewOpen(w.Canvas(), func() float32 { return 0 })
	w.SetContent(container.NewStack(Column(0, Fixed(button)), open.Object()))
	long := "Shades the sky by the antenna temperature of this beam, from the lowest to five times that"
	sheet := open.ShowItems("menu", button, []Item{{Words: "a", Name: "a", Tip: "Short", Chosen: true},
		{Words: "b", Name: "b", Tip: long}})
	told := func() string {
		var words []string
		for _, placed := range Inventory(sheet) {
			if text, ok := placed.Object.(*Text); ok && text.ControlName() == "menu-hint" {
				words = append(words, text.ControlWords())
				if text.Cut() {
					t.Errorf("%q is cut", text.ControlWords())
				}
			}
		}
		return strings.TrimSpace(strings.Join(words, " "))
	}
	if told() != "Short" {
		t.Errorf("with the keyboard on a it tells %q", told())
	}
	for _, placed := range Inventory(sheet) {
		if line, ok := placed.Object.(*menuItem); ok && placed.Name == "b" {
			line.MouseIn(&desktop.MouseEvent{})
			if told() != long {
				t.Errorf("under the pointer b tells %q", told())
			}
			return
		}
	}
	t.Error("there is no line b")
}
