package widget

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
)

// searched opens a menu that is searched; picked gets the names of the lines that are picked.
func searched(t *testing.T, chosen string) (w fyne.Window, sheet *Sheet, picked *[]string) {
	t.Helper()
	button := NewButton("Menu", "opener", "", nil)
	w, _ = window(t, nil)
	open := NewOpen(w.Canvas(), func() float32 { return 0 })
	w.SetContent(container.NewStack(Column(0, Fixed(button)), open.Object()))
	picked = new([]string)
	var items []Item
	for _, row := range [][]string{{"North mast", "1 Jy", "up"}, {"South Gate", "22 Jy", "rises 14:05 tomorrow"},
		{"Far mast", "", "down"}} {
		items = append(items, Item{Words: row[0], Name: row[0], Cells: row[1:], Chosen: row[0] == chosen,
			Tip: "Tells " + row[0], Also: "the " + row[2],
			Act: func() { *picked = append(*picked, row[0]) }})
	}
	sheet = open.ShowSearched("list", button, Search{Hint: "name", None: "Nothing has that",
		Heads: []string{"Name", "Flux", "When"}}, items)
	return w, sheet, picked
}

// state is the lines that are seen, the marked one in brackets, and what is told.
func state(sheet *Sheet) string {
	var lines, told []string
	for _, placed := range Inventory(sheet) {
		switch o := placed.Object.(type) {
		case *menuItem:
			if words := o.item.Words; o.ringed {
				lines = append(lines, "["+words+"]")
			} else if words != "Cancel" {
				lines = append(lines, words)
			}
		case *Text:
			if o.ControlName() == "list-hint" && o.ControlWords() != "" {
				told = append(told, o.ControlWords())
			}
		}
	}
	return strings.Join(lines, ", ") + ": " + strings.Join(told, " ")
}

func typeKeys(w fyne.Window, text string, names ...fyne.KeyName) {
	for _, letter := range text {
		w.Canvas().Focused().TypedRune(letter)
	}
	for _, name := range names {
		w.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: name})
	}
}

// What is typed narrows the lines, arrows walk them, and Enter picks the marked one. Nothing is marked at first, so
// that the key that opened the menu picks nothing.
func TestAMenuIsSearched(t *testing.T) {
	for _, row := range []struct {
		chosen, typed string
		keys          []fyne.KeyName
		want, picked  string
	}{
		{want: "North mast, South Gate, Far mast: "},
		{keys: []fyne.KeyName{fyne.KeyReturn}, want: "North mast, South Gate, Far mast: "},
		{chosen: "Far mast", want: "North mast, South Gate, [Far mast]: Tells Far mast"},
		{typed: "mast", want: "[North mast], Far mast: Tells North mast"},
		{typed: "MA st", want: "[North mast], Far mast: Tells North mast"},
		{typed: "tomorr", want: "[South Gate]: Tells South Gate"},
		{typed: "mast", keys: []fyne.KeyName{fyne.KeyDown}, want: "North mast, [Far mast]: Tells Far mast"},
		{typed: "mast", keys: []fyne.KeyName{fyne.KeyDown, fyne.KeyDown},
			want: "[North mast], Far mast: Tells North mast"},
		{typed: "mast", keys: []fyne.KeyName{fyne.KeyUp}, want: "North mast, [Far mast]: Tells Far mast"},
		{keys: []fyne.KeyName{fyne.KeyDown}, want: "[North mast], South Gate, Far mast: Tells North mast"},
		{typed: "mast", keys: []fyne.KeyName{fyne.KeyDown, fyne.KeyReturn}, picked: "Far mast"},
		{typed: "x", want: ": Nothing has that"},
		{typed: "x", keys: []fyne.KeyName{fyne.KeyDown, fyne.KeyReturn}, want: ": "},
		{typed: "x", keys: []fyne.KeyName{fyne.KeyBackspace}, want: "North mast, South Gate, Far mast: "},
	} {
		w, sheet, picked := searched(t, row.chosen)
		typeKeys(w, row.typed, row.keys...)
		if got := strings.Join(*picked, ", "); got != row.picked {
			t.Errorf("%q %v picks %q, want %q", row.typed, row.keys, got, row.picked)
		}
		if row.picked != "" {
			if len(sheet.open.sheets) != 0 {
				t.Errorf("%q %v leaves the menu open", row.typed, row.keys)
			}
			continue
		}
		if got := state(sheet); got != row.want {
			t.Errorf("%q %v: %s, want %s", row.typed, row.keys, got, row.want)
		}
	}
}

// texts are those of a sheet.
func texts(sheet *Sheet) (all []*Text) {
	Walk(sheet, func(o fyne.CanvasObject) {
		if text, is := o.(*Text); is {
			all = append(all, text)
		}
	})
	return all
}

// The columns of all lines stand beneath each other and hold their words whole; figures end at one edge.
func TestColumnsOfAMenu(t *testing.T) {
	_, sheet, _ := searched(t, "")
	ends, starts, n := map[int]bool{}, map[int]bool{}, 0
	driver := test.NewApp().Driver()
	for _, text := range texts(sheet) {
		at := driver.AbsolutePositionForObject(text).X
		switch words := text.ControlWords(); {
		case words == "1 Jy" || words == "22 Jy" || words == "Flux":
			ends[int(at+text.Size().Width)] = true
			n++
		case words == "up" || strings.HasPrefix(words, "rises") || words == "When":
			starts[int(at)] = true
			n++
		default:
			continue
		}
		if text.Cut() {
			t.Errorf("%q is cut", text.ControlWords())
		}
	}
	if n != 6 || len(ends) != 1 || len(starts) != 1 {
		t.Errorf("%d cells, right edges %v, left edges %v", n, ends, starts)
	}
}

// A click on the figures of a line picks it, for they lie over it.
func TestAClickOnACellPicksItsLine(t *testing.T) {
	w, sheet, picked := searched(t, "")
	for _, text := range texts(sheet) {
		if text.ControlWords() == "22 Jy" {
			at := fyne.CurrentApp().Driver().AbsolutePositionForObject(text)
			test.TapCanvas(w.Canvas(), at.AddXY(3, 8))
		}
	}
	if len(*picked) != 1 || (*picked)[0] != "South Gate" {
		t.Errorf("picked %v", *picked)
	}
}

// Esc reaches the window from the line to type in: the canvas is looked for by what stands in the window, which is not
// the entry within. (The canvas of a test is found by anything; the window's own is not.)
func TestASearchLineForwardsAsItself(t *testing.T) {
	w, _, _ := searched(t, "")
	line, is := w.Canvas().Focused().(*searchLine)
	if !is || line.self != fyne.Widget(line) {
		t.Fatalf("%T forwards as %T", w.Canvas().Focused(), line.self)
	}
	var got fyne.KeyName
	w.Canvas().SetOnTypedKey(func(event *fyne.KeyEvent) { got = event.Name })
	typeKeys(w, "a", fyne.KeyEscape)
	if got != fyne.KeyEscape {
		t.Errorf("the window gets %q", got)
	}
}
