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
	"fyne.io/fyne/v2/theme"
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
		table, _ := newTable(rows, width, nil)
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
		p.show(i, nil)
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
	p.show(2, nil)
	for _, want := range []int{1, 0} {
		if press("help-back"); p.shown != want {
			t.Errorf("back at page %d, want %d", p.shown, want)
		}
	}
	if !p.back.Disabled() {
		t.Error("Back leads beyond the first page")
	}
}

// found are the pieces of a page that stand out, in the order of the page, and how far each is from the upper edge of
// what is seen of it.
func (p *Pane) found() (words []string) {
	var segments func(all []fynewidget.RichTextSegment)
	segments = func(all []fynewidget.RichTextSegment) {
		for _, s := range all {
			switch s := s.(type) {
			case *fynewidget.ListSegment:
				segments(s.Items)
			case *fynewidget.ParagraphSegment:
				segments(s.Texts)
			case *fynewidget.TextSegment:
				if s.Style.ColorName == theme.ColorNameWarning {
					words = append(words, s.Text)
				}
			}
		}
	}
	widget.Walk(p.body, func(o fyne.CanvasObject) {
		if text, is := o.(*fynewidget.RichText); is {
			segments(text.Segments)
		}
	})
	return words
}

// A page that is found by words opens where the first of them is, and all of them stand out, in prose, lists and
// tables, whether they are bold in part or go over the end of a line. A page chosen from the list opens at its top.
func TestWhatIsFoundIsGoneTo(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	long := strings.Repeat("Nothing of it in this paragraph, which has many words.\n\n", 30)
	pages := []Page{{Title: "A", Text: "a"},
		{Title: "Prose", Text: long + "The **Waning** moon\nshines; the waning moon.\n\n" + long},
		{Title: "List", Text: long + "- one\n- of the waning moon\n- three\n\n" + long},
		{Title: "Table", Text: long + "| a | b |\n|---|---|\n| c | waning moon |\n\n" + long}}
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Open: open}, pages)
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(430, 620))
	press := func(name string) {
		t.Helper()
		for _, placed := range widget.Inventory(open.Object()) {
			if placed.Name == name {
				placed.Object.(fyne.Tappable).Tapped(&fyne.PointEvent{})
				return
			}
		}
		t.Fatalf("%s is not offered", name)
	}
	for _, c := range []struct{ page, marked string }{
		{"prose", "Waning| moon|waning moon"}, {"list", "waning moon"}, {"table", ""},
	} {
		p.find("waning  MOON")
		press("help-" + c.page)
		if got := strings.Join(p.found(), "|"); got != c.marked {
			t.Errorf("%s: %q stands out, want %q", c.page, got, c.marked)
		}
		seen := false
		for _, o := range p.body.Objects {
			top := o.Position().Y - p.scroll.Offset.Y
			text, is := o.(*fynewidget.RichText)
			if is && strings.Contains(strings.ToLower(said(text.Segments)), "waning") {
				height := text.MinSize().Height // of two times thirty paragraphs and what is sought between
				seen = max(top, -top) > height/3 && max(top, -top) < height*2/3
			}
			widget.Walk(o, func(in fyne.CanvasObject) {
				if cell, is := in.(*widget.Text); is && cell.ControlWords() == "waning moon" {
					seen = top > 0 && top < 100
				}
			})
		}
		if !seen {
			t.Errorf("%s: scrolled to %v of %v, where the words are not", c.page, p.scroll.Offset.Y,
				p.body.Size().Height)
		}
		p.openPages()
		press("help-" + c.page)
		if p.scroll.Offset.Y != 0 || len(p.found()) > 0 {
			t.Errorf("%s, chosen: scrolled to %v, %q stands out", c.page, p.scroll.Offset.Y, p.found())
		}
	}
}

// A page is found by the words that are seen, not by those of its links, and by all of them.
func TestWhatAPageHas(t *testing.T) {
	page := Page{Title: "Guards", Text: "See [the **list**](rows.md)\nof all.\n\n| a | `b` c |\n|--|--|\n| d | e |\n" +
		"![seen](x.png)\n![told](x.svg)\n"}
	for words, want := range map[string]bool{"guard": true, "the list of": true, "rows": false, "B C": true,
		"seen": false, "told": true, "": true, "a.l": false} {
		if page.has(seek(words)) != want {
			t.Errorf("%q: %v", words, !want)
		}
	}
}
