// Package help shows the handbook in the window.
package help

import (
	"bytes"
	"image"
	_ "image/png" // the handbook's pictures
	"io/fs"
	"path"
	"regexp"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Page is a page of the handbook.
type Page struct {
	Title, Text string
	file        string // its name in the folder
	folder      fs.FS  // where its pictures are; nil for none
}

// order is in which the pages stand; what isn't named comes after.
func order() []string {
	return []string{"first", "commissioning", "keyboard", "noise", "audio", "dial", "keying", "skeds", "health",
		"readings",
		"guards", "endings", "motion",
		"troubles", "glossary", "files", "registers", "enclosure", "linktest", "publishing"}
}

// Pages are the pages of a folder, by their headings.
func Pages(folder fs.FS) (pages []Page, err error) {
	names, err := fs.Glob(folder, "*.md")
	if err != nil {
		return nil, err
	}
	rank := func(name string) int {
		for i, o := range order() {
			if name == o+".md" {
				return i
			}
		}
		return len(order())
	}
	for r := range len(order()) + 1 {
		for _, name := range names {
			if rank(name) != r {
				continue
			}
			text, err := fs.ReadFile(folder, name)
			if err != nil {
				return nil, err
			}
			first, rest, _ := strings.Cut(string(text), "\n")
			pages = append(pages, Page{strings.TrimPrefix(first, "# "), rest, name, folder})
		}
	}
	return pages, nil
}

// Pane is the pane Handbook.
type Pane struct {
	with   widget.Context
	pages  []Page
	shown  int
	before []int // the pages shown before this one
	choose *widget.Button
	back   *widget.Button
	search *widget.Entry
	body   *fyne.Container
	scroll *container.Scroll
	object fyne.CanvasObject
	width  float32        // for which the page is laid out
	sought *regexp.Regexp // what is marked on the page; nil for nothing
}

// New returns the pane of some pages; there is at least one.
func New(with widget.Context, pages []Page) *Pane {
	p := &Pane{with: with, pages: pages, shown: -1, search: widget.NewEntry("help-search", "search, Enter"),
		width: minWidth}
	p.body = container.New(stacked{})
	p.scroll = widget.NewVScroll(p.body)
	p.scroll.SetMinSize(fyne.NewSize(minWidth, 240))
	p.choose = widget.NewButton("", "help-page", "Another page of the handbook", p.openPages).Sized(widget.SmallText)
	p.back = widget.NewButton("Back", "help-back", "The page shown before", p.goBack).Sized(widget.SmallText)
	p.search.OnSubmitted = p.find
	p.object = widget.Column(5, widget.Fixed(widget.Row(5, widget.Sharing(p.choose), widget.Fixed(p.back))),
		widget.Part{Object: p.search, Min: 30}, widget.Sharing(container.New(&fitting{p}, p.scroll)))
	p.show(0, nil)
	return p
}

// minWidth is the least width of a page.
const minWidth = 380

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Handbook" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane: a page stays as it is.
func (p *Pane) Show(view.Now) {}

// show shows another page, from which Back leads to this one, where what is sought stands first.
func (p *Pane) show(index int, sought *regexp.Regexp) {
	if p.shown >= 0 && p.shown != index {
		p.before = append(p.before, p.shown)
	}
	p.turnTo(index, sought)
}

func (p *Pane) goBack() {
	if n := len(p.before); n > 0 {
		index := p.before[n-1]
		p.before = p.before[:n-1]
		p.turnTo(index, nil)
	}
}

func (p *Pane) turnTo(index int, sought *regexp.Regexp) {
	p.shown, p.sought = index, sought
	p.choose.Set(p.pages[index].Title+" ▾", widget.Quiet)
	p.back.SetEnabled(len(p.before) > 0)
	first, down := p.lay()
	p.scroll.Refresh() // it has to know how far it may be scrolled
	p.scroll.ScrollToTop()
	if first != nil {
		p.scroll.ScrollToOffset(fyne.NewPos(0, first.Position().Y+down-lead))
	}
}

// lead is what is seen above what was found.
const lead = 44

// lay lays the page out for the width that there is, and tells the first block with what is sought, if any has it, and
// how far down there that stands.
func (p *Pane) lay() (first fyne.CanvasObject, down float32) {
	page := p.pages[p.shown]
	p.body.Objects = nil
	for _, b := range blocks(page.Text) {
		o := p.newBlock(page, b)
		p.body.Objects = append(p.body.Objects, o)
		if first == nil && b.has(p.sought) {
			first, down = o, b.down(p.width, p.sought)
		}
	}
	if also := p.also(page); also != nil {
		p.body.Objects = append(p.body.Objects, also)
	}
	p.body.Refresh()
	return first, down
}

// newBlock is what is seen of a block.
func (p *Pane) newBlock(page Page, b block) fyne.CanvasObject {
	switch {
	case b.table != nil:
		table, _ := newTable(b.table, p.width-indent, p.sought)
		return indented(table)
	case b.picture != "":
		return p.picture(page, b)
	}
	return proseOf(b.prose, p.width, p.sought)
}

// picture is a picture as wide as the page. Drawings that the window can't draw, and pictures that are missing, are
// named by their captions.
func (p *Pane) picture(page Page, b block) fyne.CanvasObject {
	if page.folder != nil && path.Ext(b.picture) == ".png" {
		data, err := fs.ReadFile(page.folder, b.picture)
		if config, _, bad := image.DecodeConfig(bytes.NewReader(data)); err == nil && bad == nil {
			picture := canvas.NewImageFromResource(fyne.NewStaticResource(b.picture, data))
			picture.FillMode = canvas.ImageFillContain
			wide := min(p.width-indent, float32(config.Width)) // never blown up
			size := fyne.NewSize(wide, wide*float32(config.Height)/float32(config.Width))
			return indented(container.New(&sized{size}, picture))
		}
	}
	return indented(widget.Lines("Drawing: "+b.caption, p.width-indent,
		func(line string) *widget.Text { return widget.NewLabel(line) }))
}

// also leads to the pages that a page names; nil where it names none.
func (p *Pane) also(page Page) fyne.CanvasObject {
	var parts []widget.Part
	for _, file := range leads(page.Text) {
		for i, other := range p.pages {
			if other.file == file && other.Title != page.Title {
				button := widget.NewButton(other.Title, "help-also-"+view.Name(other.Title), "Show this page",
					func() { p.show(i, nil) }).Sized(widget.SmallText)
				parts = append(parts, widget.Fixed(widget.Row(0, widget.Fixed(button), widget.Spring())))
			}
		}
	}
	if parts == nil {
		return nil
	}
	return indented(widget.Column(4, append([]widget.Part{widget.Fixed(widget.NewLabel("See also").Bold())},
		parts...)...))
}

// indent is how far prose stands from the edge.
const indent = 8

func indented(o fyne.CanvasObject) fyne.CanvasObject {
	return widget.Row(0, widget.Space(indent), widget.Sharing(o))
}

// fitting gives the page the width that there is before it is laid out.
type fitting struct{ p *Pane }

// MinSize implements fyne.Layout.
func (f *fitting) MinSize([]fyne.CanvasObject) fyne.Size { return f.p.scroll.MinSize() }

// Layout implements fyne.Layout.
func (f *fitting) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	const bar = 14 // beside the page, for the scroll bar
	if width := max(minWidth, size.Width) - bar; width != f.p.width {
		f.p.width = width
		f.p.lay()
	}
	f.p.scroll.Resize(size)
}

// stacked puts the blocks beneath each other, each as wide as it was made.
type stacked struct{}

// blockGap is between two blocks, in units.
const blockGap = 8

// MinSize implements fyne.Layout.
func (stacked) MinSize(objects []fyne.CanvasObject) (size fyne.Size) {
	for _, o := range objects {
		size.Height += o.MinSize().Height + blockGap
	}
	return fyne.NewSize(minWidth-20, size.Height)
}

// Layout implements fyne.Layout.
func (stacked) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	y := float32(0)
	for _, o := range objects {
		high := o.MinSize().Height
		o.Move(fyne.NewPos(0, y))
		o.Resize(fyne.NewSize(size.Width, high))
		y += high + blockGap
	}
}

func (p *Pane) openPages() { p.offer(p.pages, nil) }

// offer offers pages; what is sought is gone to.
func (p *Pane) offer(pages []Page, sought *regexp.Regexp) {
	var items []widget.Item
	for i, page := range p.pages {
		for _, wanted := range pages {
			if wanted.Title == page.Title {
				items = append(items, widget.Item{Words: page.Title, Name: "help-" + view.Name(page.Title),
					Act: func() { p.show(i, sought) }})
			}
		}
	}
	if len(items) == 0 {
		items = []widget.Item{{Words: "No page contains these words", Name: "help-nothing", Act: func() {}}}
	}
	p.with.Open.ShowItems("help-pages", p.choose, items)
}

// find offers the pages that have words.
func (p *Pane) find(words string) {
	var found []Page
	sought := seek(words)
	for _, page := range p.pages {
		if page.has(sought) {
			found = append(found, page)
		}
	}
	p.offer(found, sought)
}
