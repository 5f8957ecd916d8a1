package help

import (
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

func TestPlain(t *testing.T) {
	got := Plain("See [the guards](guards.md).\n![x](y.png)\n<!-- no\nno -->\n| a | b |\n|---|:--|\n| 1 | 2 |\n")
	want := "See the guards.\n\n\n- a · b\n- 1 · 2\n"
	if got != want {
		t.Errorf("%q, want %q", got, want)
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
		if words := said(p.text.Segments); len(words) < 500 || strings.Contains(words, "](") || strings.Contains(words, "|--") {
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
