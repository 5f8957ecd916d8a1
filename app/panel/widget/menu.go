package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
)

// Item is a line of a menu.
type Item struct {
	Words, Name, Tip string
	Act              func()
	// Chosen marks the one in force. Toggles: picking it changes what it says, each time.
	Chosen, Toggles bool
}

// menuItem is a button whose arrow keys walk the menu.
type menuItem struct {
	Button
	move func(by int)
	tell func() // what the line does, where the menu tells it
}

// MouseIn implements desktop.Hoverable. A line of a menu has no tooltip: it would lie over the lines beneath.
func (m *menuItem) MouseIn(*desktop.MouseEvent) {
	m.hovered = true
	m.Refresh()
	m.tell()
}

// FocusGained implements fyne.Focusable.
func (m *menuItem) FocusGained() {
	m.Button.FocusGained()
	m.tell()
}

// hint is where a menu tells what the line under the pointer does: as many lines of text as the longest takes.
type hint struct {
	width float32
	lines []*Text
}

func newHint(name string, items []Item, width float32) *hint {
	h := &hint{width: width}
	for _, item := range items {
		for len(h.lines) < len(h.wrap(item.Tip)) {
			h.lines = append(h.lines, NewLabel("").Elastic().Named(name+"-hint"))
		}
	}
	return h
}

func (h *hint) wrap(tip string) []string {
	return wrapTo(Printable(tip), h.width, SmallText, fyne.TextStyle{})
}

func (h *hint) tell(tip string) {
	words := h.wrap(tip)
	for i, line := range h.lines {
		if i < len(words) {
			line.SetWords(words[i])
		} else {
			line.SetWords("")
		}
	}
}

func (h *hint) object() fyne.CanvasObject {
	parts := make([]Part, len(h.lines))
	for i, line := range h.lines {
		parts[i] = Fixed(line)
	}
	return Column(0, parts...)
}

// TypedKey implements fyne.Focusable.
func (m *menuItem) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyUp:
		m.move(-1)
	case fyne.KeyDown:
		m.move(+1)
	case fyne.KeyLeft, fyne.KeyRight:
	default:
		m.Button.TypedKey(event)
	}
}

// KeyDown keeps the arrow keys from moving the beam while a menu is open.
func (m *menuItem) KeyDown(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight:
	default:
		m.Button.KeyDown(event)
	}
}

// ShowItems opens a menu beneath an object. The chosen line has the keyboard, or
// else Cancel, from where an arrow leads to the first: the key that opened it,
// pressed once more, picks nothing new. A line that is picked closes the menu before it acts. Its
// last line is Cancel, which stays in sight where the others have to be scrolled.
func (o *Open) ShowItems(name string, beneath fyne.CanvasObject, items []Item) *Sheet {
	items = append(items[:len(items):len(items)], Item{Words: "Cancel", Name: name + "-cancel",
		Tip: "Close this list and change nothing"})
	last := len(items) - 1
	lines := make([]*menuItem, len(items))
	parts := make([]Part, len(items))
	var sheet *Sheet
	var scroll *container.Scroll
	first, single := last, true
	var told *hint // nil until all lines are there
	bringLine := func(line *menuItem) {
		top := line.Position().Y
		bringIntoView(scroll, top, top+line.Size().Height)
	}
	for i, item := range items {
		line := &menuItem{Button: Button{words: item.Words, size: BodyText, look: Bare, left: true}}
		line.act = func() {
			sheet.Close()
			if item.Act != nil {
				item.Act()
			}
		}
		line.move = func(by int) {
			next := lines[(i+by+len(lines))%len(lines)]
			next.Focus()
			if next != lines[last] {
				bringLine(next)
			}
		}
		line.tell = func() {
			if told != nil {
				told.tell(item.Tip)
			}
		}
		line.Become(line, item.Name, item.Tip)
		if item.Chosen {
			line.look = Chosen
			single = single && first == last && !item.Toggles
			first = i
		}
		lines[i], parts[i] = line, Fixed(line)
	}
	if !single {
		first = last
	}
	list := Column(2, parts[:last]...)
	scroll = container.NewVScroll(list)
	scroll.SetMinSize(list.MinSize())
	stops := newEscText(name)
	told = newHint(name, items, max(list.MinSize().Width, lines[last].MinSize().Width+12+stops.MinSize().Width+8)-16)
	content := Column(2, Part{Object: scroll, Share: 1},
		Fixed(Row(12, Sharing(lines[last]), Fixed(Padded(stops, 4, 0)))),
		Fixed(Padded(told.object(), 8, 2)),
		Fixed(Row(0, Space(beneath.Size().Width-8)))) // as wide as what it opens from
	sheet = o.showMenu(name, content, beneath, stops, lines[first])
	bringLine(lines[first])
	return sheet
}

// bringIntoView scrolls so far that what lies between two heights is seen whole.
func bringIntoView(scroll *container.Scroll, top, bottom float32) {
	switch room := scroll.Size().Height; {
	case top < scroll.Offset.Y:
		scroll.ScrollToOffset(fyne.NewPos(0, top))
	case bottom > scroll.Offset.Y+room:
		scroll.ScrollToOffset(fyne.NewPos(0, bottom-room))
	}
}
