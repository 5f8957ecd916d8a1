package help

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/widget"
	"beamhelm/assets"
)

func TestBlocks(t *testing.T) {
	got := blocks(
		"See [the guards](guards.md).\n![a pane](y.png)\n<!-- no\nno -->\n> Mind **this**.\n\n| a | b |\n|---|:--|\n" +
			"| **1** | [two](b.md) |\nafter\n")
	want := []block{
		{prose: "See the guards."}, {picture: "y.png", caption: "a pane"}, {prose: "Mind **this**."},
		{table: [][]string{{"a", "b"}, {"1", "two"}}}, {prose: "after"},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := leads("[a](b.md) [c](b.md#d) [e](f.md) ![g](h.png) [i](https://example.org)"); !slices.Equal(got,
		[]string{"b.md", "f.md"}) {
		t.Errorf("it leads to %q", got)
	}
}

// A table's columns have their room, its words wrap within them, and no two cells overlap.
func TestTableFits(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	rows := [][]string{{"key", "what it does"}, {"F1", strings.Repeat("many words that wrap ", 5)},
		{"Ctrl+Home", "short"}}
	for _, width := range []float32{200, 366, 900} {
		table := newTable(rows, width)
		w := test.NewTempWindow(t, table)
		w.Resize(fyne.NewSize(width, table.MinSize().Height))
		var right, bottom float32
		widget.Walk(table, func(o fyne.CanvasObject) {
			text, is := o.(*widget.Text)
			if !is {
				return
			}
			driver := fyne.CurrentApp().Driver()
			at := driver.AbsolutePositionForObject(text).Subtract(driver.AbsolutePositionForObject(table))
			right, bottom = max(right, at.X+text.Size().Width), max(bottom, at.Y+text.Size().Height)
			if text.Cut() {
				t.Errorf("%v wide: %q is cut", width, text.ControlWords())
			}
		})
		if one := widget.NewText("F1").Small().MinSize().Height; width == 900 &&
			table.MinSize().Height > 3*(one+rowGap)+1 {
			t.Errorf("with room for all it is %v high, %v a line", table.MinSize().Height, one)
		}
		if right > width+1 || bottom > table.MinSize().Height+4 {
			t.Errorf("%v wide: it reaches to %v, %v of %v", width, right, bottom, table.MinSize().Height)
		}
	}
}

// said are all words of some segments, those of lists too.
func said(segments []fynewidget.RichTextSegment) (words string) {
	for _, s := range segments {
		switch s := s.(type) {
		case *fynewidget.ListSegment:
			words += said(s.Items)
		case *fynewidget.ParagraphSegment:
			words += said(s.Texts)
		default:
			words += s.Textual()
		}
	}
	return words
}

// Every page of the handbook is there, named in the order, and is shown.
func TestEveryPageIsShown(t *testing.T) {
	pages, err := Pages(assets.Handbook())
	if err != nil || len(pages) != len(order()) {
		t.Fatalf("%v, %d pages, %d in the order", err, len(pages), len(order()))
	}
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Open: open}, pages)
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(430, 620))
	for i, page := range pages {
		p.show(i)
		words := ""
		widget.Walk(p.body, func(o fyne.CanvasObject) {
			switch o := o.(type) {
			case *fynewidget.RichText:
				words += said(o.Segments)
			case *widget.Text:
				words += o.ControlWords()
				if o.Cut() {
					t.Errorf("%s: %q is cut", page.Title, o.ControlWords())
				}
			}
		})
		if len(words) < 500 || strings.Contains(words, "](") || strings.Contains(words, "|--") {
			t.Errorf("%s: %d letters, or what isn't words in it", page.Title, len(words))
		}
	}
	p.find("jitter of the moon's own moons")
	if !open.Covers() {
		t.Error("nothing is said where no page is found")
	}
}

func TestPagesOfAFolder(t *testing.T) {
	pages, err := Pages(fstest.MapFS{"z.md": {Data: []byte("# Z\nz")}, "first.md": {Data: []byte("# First\nf")}})
	if err != nil || len(pages) != 2 || pages[0].Title != "First" || pages[1].Text != "z" {
		t.Errorf("%v %v", pages, err)
	}
}

// Back leads through the pages shown, and a page leads to those that it names.
func TestBack(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	pages, err := Pages(fstest.MapFS{"a.md": {Data: []byte("# A\nsee [B](b.md)")}, "b.md": {Data: []byte("# B\nb")},
		"c.md": {Data: []byte("# C\nc")}})
	if err != nil {
		t.Fatal(err)
	}
	p := New(widget.Context{}, pages)
	w := test.NewTempWindow(t, p.Object())
	w.Resize(fyne.NewSize(430, 400))
	press := func(name string) {
		t.Helper()
		for _, placed := range widget.Inventory(p.Object()) {
			if placed.Name == name && placed.Enabled {
				placed.Object.(fyne.Tappable).Tapped(&fyne.PointEvent{})
				return
			}
		}
		t.Fatalf("%s can't be pressed", name)
	}
	press("help-also-b")
	p.show(2)
	for _, want := range []int{1, 0} {
		if press("help-back"); p.shown != want {
			t.Errorf("back at page %d, want %d", p.shown, want)
		}
	}
	if !p.back.Disabled() {
		t.Error("Back leads beyond the first page")
	}
}
