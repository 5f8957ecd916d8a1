package widget

import (
	"strings"

	"fyne.io/fyne/v2"
)

// searchLine is the line above a menu: what is typed leaves out the lines without it, the arrow keys walk the
// others, and Enter picks the marked one.
type searchLine struct {
	Entry
	menu  *menu
	at    int // the marked line; that of Cancel for none
	empty string
}

// Search is what a menu that is searched needs besides its lines.
type Search struct {
	// Hint stands in the line to type in, None is told where no line is left.
	Hint, None string
	// Heads are the words over the columns.
	Heads []string
}

// ShowSearched opens a menu beneath an object with a line to type in, which has the keyboard. The chosen line is
// marked, or else none: the key that opened it, pressed once more, picks nothing new.
func (o *Open) ShowSearched(name string, beneath fyne.CanvasObject, search Search, items []Item) *Sheet {
	m := newMenu(name, items)
	line := &searchLine{menu: m, at: len(items), empty: search.None}
	m.search = line
	line.become(line, name+"-search", search.Hint)
	line.OnChanged = line.narrow
	line.OnSubmitted = func(string) {
		if line.at < len(items) {
			m.lines[line.at].act()
		}
	}
	columns := newColumns(items)
	columns.reserve(search.Heads)
	for _, row := range m.lines {
		if c, is := row.object.(*fyne.Container); is {
			c.Layout = columns
		}
	}
	m.reserve()
	heads := Padded(columns.heads(search.Heads), ringRoom, 0)
	o.showMenuOf(m, name, beneath, Column(4, Fixed(line), Fixed(heads)), line)
	if chosen := m.chosen(); len(chosen) == 1 {
		line.mark(chosen[0])
	}
	return m.sheet
}

// TypedKey implements fyne.Focusable.
func (s *searchLine) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyUp:
		s.walk(-1)
	case fyne.KeyDown:
		s.walk(+1)
	default:
		s.Entry.TypedKey(event)
	}
}

// walk marks the next line, or the one before.
func (s *searchLine) walk(by int) {
	last := len(s.menu.lines) - 1
	next := s.menu.walk(s.at, by)
	if next.object == nil { // past the ends lies Cancel, which is no line to pick
		next = s.menu.walk(last, by)
	}
	for i, line := range s.menu.lines {
		if line == next {
			s.mark(i)
		}
	}
}

// mark marks a line, and tells what it does; none for that of Cancel.
func (s *searchLine) mark(at int) {
	s.at = at
	last := len(s.menu.lines) - 1
	for i, line := range s.menu.lines[:last] {
		line.ring(i == at)
	}
	if at == last {
		s.menu.told.tell("")
		return
	}
	s.menu.bring(s.menu.lines[at])
	s.menu.lines[at].tell()
}

// narrow leaves out the lines without what was typed, and marks the first that is left.
func (s *searchLine) narrow(typed string) {
	last := len(s.menu.lines) - 1
	first := last
	for i, line := range s.menu.lines[:last] {
		if !found(line.item, typed) {
			line.object.Hide()
			continue
		}
		line.object.Show()
		first = min(first, i)
	}
	s.menu.list.Refresh()
	s.menu.scroll.ScrollToTop()
	if strings.TrimSpace(typed) == "" {
		first = last
	}
	s.mark(first)
	if first == last && typed != "" {
		s.menu.told.tell(s.empty)
	}
}

// found says whether a line has what was typed. Capitals and blanks don't matter.
func found(item Item, typed string) bool {
	plain := func(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), "")) }
	return strings.Contains(plain(item.Words), plain(typed)) || strings.Contains(plain(item.Also), plain(typed))
}
