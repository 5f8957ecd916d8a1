// Package help shows the handbook in the window.
package help

import (
	"io/fs"
	"regexp"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Page is a page of the handbook.
type Page struct{ Title, Text string }

// order is in which the pages stand; what isn't named comes after.
func order() []string {
	return []string{"first", "commissioning", "keyboard", "noise", "audio", "dial", "keying", "skeds", "health", "readings", "guards", "endings", "motion",
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
			pages = append(pages, Page{strings.TrimPrefix(first, "# "), rest})
		}
	}
	return pages, nil
}

// Pane is the pane Handbook.
type Pane struct {
	with   widget.Context
	pages  []Page
	choose *widget.Button
	search *widget.Entry
	text   *fynewidget.RichText
	scroll *container.Scroll
	object fyne.CanvasObject
}

// New returns the pane of some pages; there is at least one.
func New(with widget.Context, pages []Page) *Pane {
	p := &Pane{with: with, pages: pages, text: fynewidget.NewRichText(), search: widget.NewEntry("help-search", "search, Enter")}
	p.text.Wrapping = fyne.TextWrapWord
	p.scroll = container.NewVScroll(p.text)
	p.scroll.SetMinSize(fyne.NewSize(380, 240))
	p.choose = widget.NewButton("", "help-page", "Another page of the handbook", p.openPages).Sized(widget.SmallText)
	p.search.OnSubmitted = p.find
	p.object = widget.Column(5, widget.Fixed(p.choose), widget.Part{Object: p.search, Least: 30}, widget.Sharing(p.scroll))
	p.show(0)
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Handbook" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane: a page stays as it is.
func (p *Pane) Show(view.Now) {}

func (p *Pane) show(index int) {
	p.choose.Set(p.pages[index].Title+" ▾", widget.Quiet)
	p.text.ParseMarkdown(Plain(p.pages[index].Text))
	p.scroll.ScrollToTop()
}

func (p *Pane) openPages() { p.offer(p.pages) }

func (p *Pane) offer(pages []Page) {
	var items []widget.Item
	for i, page := range p.pages {
		for _, wanted := range pages {
			if wanted.Title == page.Title {
				items = append(items, widget.Item{Words: page.Title, Name: "help-" + view.Name(page.Title), Act: func() { p.show(i) }})
			}
		}
	}
	if len(items) == 0 {
		items = []widget.Item{{Words: "No page contains that word", Name: "help-nothing", Act: func() {}}}
	}
	p.with.Open.ShowItems("help-pages", p.choose, items)
}

// find offers the pages that have a word.
func (p *Pane) find(word string) {
	var found []Page
	for _, page := range p.pages {
		if strings.Contains(strings.ToLower(page.Title+" "+page.Text), strings.ToLower(strings.TrimSpace(word))) {
			found = append(found, page)
		}
	}
	p.offer(found)
}

var (
	links    = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	pictures = regexp.MustCompile(`!\[[^\]]*\]\([^)]*\)`)
	comments = regexp.MustCompile(`(?s)<!--.*?-->`)
)

// Plain is a page without what the window doesn't show: links are their words,
// pictures and comments are gone, and a line of a table is an item whose cells
// stand one after the other.
func Plain(text string) string {
	text = links.ReplaceAllString(pictures.ReplaceAllString(comments.ReplaceAllString(text, ""), ""), "$1")
	var out strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimPrefix(strings.TrimPrefix(line, ">"), " ") // a caution is a paragraph here
		trimmed := strings.TrimSpace(line)
		if !strings.HasPrefix(trimmed, "|") {
			out.WriteString(line)
			continue
		}
		cells := strings.Split(strings.Trim(trimmed, "|"), "|")
		if strings.Trim(strings.Join(cells, ""), "-: ") == "" {
			continue // the rule below a table's head
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		out.WriteString("- " + strings.Join(cells, " · ") + "\n")
	}
	return out.String()
}
