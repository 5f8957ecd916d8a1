package widget

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
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

// A menu for which the window is too low scrolls its lines; Cancel and what Esc does stay in sight, and the keyboard
// brings each line into sight.
func TestAMenuScrollsInALowWindow(t *testing.T) {
	button := NewButton("Menu", "opener", "", nil)
	w, _ := window(t, nil)
	open := NewOpen(w.Canvas(), func() float32 { return 60 })
	w.SetContent(container.NewStack(Column(0, Fixed(button)), open.Object()))
	var items []Item
	for i := range 30 {
		items = append(items, Item{Words: fmt.Sprint("Line ", i), Name: fmt.Sprint("line-", i), Tip: "What it does"})
	}
	sheet := open.ShowItems("menu", button, items)
	bottom := sheet.Position().Y + sheet.Size().Height
	if room := w.Canvas().Size().Height - 60; bottom > room {
		t.Errorf("the menu reaches to %v of %v", bottom, room)
	}
	lines := map[string]*menuItem{}
	for _, placed := range Inventory(sheet) {
		end := placed.At.Y + placed.Size.Height
		if placed.Object != sheet && !strings.HasPrefix(placed.Name, "line-") && end > bottom {
			t.Errorf("%s ends at %v, outside of the menu, which ends at %v", placed.Name, end, bottom)
		}
		if line, is := placed.Object.(*menuItem); is {
			lines[placed.Name] = line
		}
	}
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	cancel := lines["menu-cancel"]
	for i, line := 0, cancel; i < len(items); i++ {
		line.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
		line = lines[fmt.Sprint("line-", i)]
		if top := at(line).Y; top < sheet.Position().Y || top+line.Size().Height > at(cancel).Y {
			t.Errorf("line %d has the keyboard at %v, out of sight", i, top)
		}
	}
}
