package health

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// list is what lies over the rows: a click or a key opens the one beneath it, or folds a group.
type list struct {
	widget.ArrowControl
	pane    *Pane
	bar     *canvas.Rectangle // at the left of the line that has the keyboard, clear of its words
	shade   *canvas.Rectangle // of the line that is marked or pointed at
	marked  int               // by keys; -1: none
	pointed int               // by the pointer; -1: none
}

// line is a place in the list: a heading or a row.
type line struct {
	top, height float32
	group       int
	row         *row // nil: the heading
}

func newList(pane *Pane) *list {
	l := &list{pane: pane, bar: canvas.NewRectangle(color.Transparent), shade: canvas.NewRectangle(color.Transparent),
		marked: -1, pointed: -1}
	l.Become(l, "health-list", "A reading opens its trend, limits and what to do; a heading folds its group")
	return l
}

// ControlWords returns the line that is marked.
func (l *list) ControlWords() string {
	at := l.line(l.marked)
	switch {
	case at == nil:
		return ""
	case at.row != nil:
		return at.row.line.Name
	}
	return l.pane.groups[at.group].name
}

// CreateRenderer implements fyne.Widget.
func (l *list) CreateRenderer() fyne.WidgetRenderer {
	return &listRenderer{fynewidget.NewSimpleRenderer(container.NewWithoutLayout(l.shade, l.bar)), l}
}

type listRenderer struct {
	fyne.WidgetRenderer
	list *list
}

// Layout implements fyne.WidgetRenderer: bar and shade stand where their line is.
func (r *listRenderer) Layout(fyne.Size) { r.list.place() }

// Refresh implements fyne.WidgetRenderer.
func (r *listRenderer) Refresh() {
	p := widget.Current()
	r.list.bar.FillColor, r.list.shade.FillColor = color.Transparent, widget.Fade(p.Mark, 0.2)
	if r.list.Focused() {
		r.list.bar.FillColor, r.list.shade.FillColor = p.Focus, widget.Fade(p.Focus, 0.2)
	}
	r.list.place()
	r.list.bar.Refresh()
	r.list.shade.Refresh()
}

// line is the one with an index; nil for none.
func (l *list) line(index int) *line {
	if index < 0 || index >= len(l.pane.lines) {
		return nil
	}
	return &l.pane.lines[index]
}

// barWidth is that of the bar; the words of all lines begin beside it.
const barWidth = 4

// place puts bar and shade at the line that is marked or pointed at.
func (l *list) place() {
	at := l.line(l.pointed)
	if l.Focused() {
		at = l.line(l.marked)
	}
	if at == nil {
		widget.Away(l.bar, l.shade)
		return
	}
	const lower = 1 // the words stand low in their line
	place(l.bar, 0, at.top+lower, barWidth, at.height)
	place(l.shade, barWidth, at.top+lower, l.Size().Width-barWidth, at.height)
}

// at is the index of the line at a height; -1 for none.
func (l *list) at(y float32) int {
	for i := range l.pane.lines {
		if a := &l.pane.lines[i]; y >= a.top && y < a.top+a.height {
			return i
		}
	}
	return -1
}

// FocusGained implements fyne.Focusable.
func (l *list) FocusGained() {
	if l.line(l.marked) == nil {
		l.marked = 0
	}
	l.Control.FocusGained()
}

// Tapped implements fyne.Tappable.
func (l *list) Tapped(event *fyne.PointEvent) {
	if i := l.at(event.Position.Y); i >= 0 {
		l.marked = i
		l.Focus()
		l.open()
	}
}

// open opens the line that is marked.
func (l *list) open() {
	at := l.line(l.marked)
	switch {
	case at == nil:
	case at.row != nil:
		l.pane.openReading(at.row.line.Index)
	case l.pane.groups[at.group].name == view.OutOfLimits: // it can't be folded: the worst is opened
		l.pane.openReading(l.pane.groups[at.group].all[0])
	default:
		l.pane.fold(at.group)
	}
}

// TypedKey implements fyne.Focusable.
func (l *list) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyUp:
		l.mark(l.marked - 1)
	case fyne.KeyDown:
		l.mark(l.marked + 1)
	case fyne.KeyLeft, fyne.KeyRight:
		if at := l.line(l.marked); at != nil &&
			l.pane.folded[l.pane.groups[at.group].name] == (event.Name == fyne.KeyRight) {
			l.pane.fold(at.group)
		}
	default:
		l.Press(event, l.open)
	}
}

// mark marks another line and brings it into sight.
func (l *list) mark(index int) {
	l.marked = max(0, min(index, len(l.pane.lines)-1))
	if at := l.line(l.marked); at != nil {
		l.pane.scrollTo(at)
	}
	l.Refresh()
}

// Pointed says whether the pointer is over a line.
func (l *list) Pointed() bool { return l.pointed >= 0 }

// MouseIn implements desktop.Hoverable. There is no tooltip: it would lie over the rows beneath.
func (l *list) MouseIn(event *desktop.MouseEvent) { l.point(l.at(event.Position.Y)) }

// MouseMoved implements desktop.Hoverable.
func (l *list) MouseMoved(event *desktop.MouseEvent) { l.point(l.at(event.Position.Y)) }

// MouseOut implements desktop.Hoverable.
func (l *list) MouseOut() { l.point(-1) }

func (l *list) point(index int) {
	if l.pointed != index {
		l.pointed = index
		l.Refresh()
	}
}

// Cursor implements desktop.Cursorable.
func (l *list) Cursor() desktop.Cursor {
	if l.pointed >= 0 {
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}

// headingWords are those of a group's heading: folded it says how many readings it hides.
func headingWords(name string, rows int, folded bool) string {
	switch {
	case name == view.OutOfLimits:
		return name
	case folded:
		return "▸ " + name + " · " + view.Count(rows, "reading", "readings")
	}
	return "▾ " + name
}
