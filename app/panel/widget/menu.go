package widget

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
)

// Item is a line of a menu.
type Item struct {
	Words, Name, Tip string
	Act              func()
	// Cells are further columns at the right of the words; Faint is a line that matters less.
	Cells []string
	Faint bool
	// Also is looked through besides the words where a menu is searched.
	Also string
	// Chosen marks the one in force. Toggles: picking it changes what it says, each time.
	Chosen, Toggles bool
}

// menuItem is a button whose arrow keys walk the menu.
type menuItem struct {
	Button
	item   Item
	object fyne.CanvasObject // the line with its cells
	move   func(by int)
	tell   func() // what the line does, where the menu tells it
}

// ControlWords returns the words of all columns.
func (m *menuItem) ControlWords() string {
	return strings.Join(append([]string{m.item.Words}, m.item.Cells...), ", ")
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

// menu is the lines of a menu that is open. The last is Cancel, which stays in sight where the others have to be
// scrolled.
type menu struct {
	lines  []*menuItem
	list   *fyne.Container
	scroll *container.Scroll
	sheet  *Sheet
	told   *hint // nil until all lines are there
	search *searchLine
}

// ShowItems opens a menu beneath an object. The chosen line has the keyboard, or
// else Cancel, from where an arrow leads to the first: the key that opened it,
// pressed once more, picks nothing new. A line that is picked closes the menu before it acts.
func (o *Open) ShowItems(name string, beneath fyne.CanvasObject, items []Item) *Sheet {
	m := newMenu(name, items)
	first, chosen := len(items), m.chosen()
	if len(chosen) == 1 && !items[chosen[0]].Toggles {
		first = chosen[0]
	}
	o.showMenuOf(m, name, beneath, nil, m.lines[first])
	m.bring(m.lines[first])
	return m.sheet
}

func newMenu(name string, items []Item) *menu {
	m := &menu{}
	columns := newColumns(items)
	cancel := Item{Words: "Cancel", Name: name + "-cancel", Tip: "Close this list and change nothing"}
	parts := make([]Part, len(items))
	for i, item := range append(items[:len(items):len(items)], cancel) {
		line := m.newLine(i, item)
		m.lines = append(m.lines, line)
		if i < len(items) {
			line.object = columns.line(line, item)
			parts[i] = Fixed(line.object)
		}
	}
	m.list = Column(2, parts...)
	m.scroll = NewVScroll(Padded(m.list, ringRoom, ringRoom))
	m.reserve()
	return m
}

func (m *menu) newLine(i int, item Item) *menuItem {
	line := &menuItem{Button: Button{words: item.Words, size: BodyText, look: Bare, left: true}, item: item}
	line.act = func() {
		m.sheet.Close()
		if item.Act != nil {
			item.Act()
		}
	}
	line.move = func(by int) { m.walk(i, by).Focus() }
	line.tell = func() {
		if m.told != nil {
			m.told.tell(item.Tip)
		}
	}
	line.Become(line, item.Name, item.Tip)
	if item.Chosen {
		line.look = Chosen
	}
	return line
}

// ringRoom is the room around the lines, so that the ring of the keyboard is seen whole.
const ringRoom = 3

// reserve gives the lines the room that they need to be seen at once.
func (m *menu) reserve() { m.scroll.SetMinSize(m.scroll.Content.MinSize()) }

// walk is the next line from one, or the one before, that is not left out; it is brought into sight.
func (m *menu) walk(from, by int) *menuItem {
	for i := 1; i <= len(m.lines); i++ {
		next := m.lines[((from+by*i)%len(m.lines)+len(m.lines))%len(m.lines)]
		if next.object == nil {
			return next
		}
		if next.object.Visible() {
			m.bring(next)
			return next
		}
	}
	return m.lines[from]
}

// chosen are the places of the lines in force.
func (m *menu) chosen() (all []int) {
	for i, line := range m.lines {
		if line.item.Chosen {
			all = append(all, i)
		}
	}
	return all
}

// bring scrolls a line into sight; Cancel always is.
func (m *menu) bring(line *menuItem) {
	if line.object != nil {
		top := line.object.Position().Y
		bringIntoView(m.scroll, top, top+line.object.Size().Height+2*ringRoom)
	}
}

// showMenuOf opens a menu, with something above its lines if there is any.
func (o *Open) showMenuOf(m *menu, name string, beneath, above fyne.CanvasObject, first fyne.Focusable) {
	cancel, stops := m.lines[len(m.lines)-1], newEscText(name)
	width := max(m.scroll.MinSize().Width, cancel.MinSize().Width+12+stops.MinSize().Width+8)
	items := make([]Item, len(m.lines))
	for i, line := range m.lines {
		items[i] = line.item
	}
	m.told = newHint(name, items, width-16)
	parts := []Part{{Object: m.scroll, Share: 1},
		Fixed(Row(12, Sharing(cancel), Fixed(Padded(stops, 4, 0)))),
		Fixed(Padded(m.told.object(), 8, 2)),
		Fixed(Row(0, Space(beneath.Size().Width-8)))} // as wide as what it opens from
	if above != nil {
		parts = append([]Part{Fixed(above)}, parts...)
	}
	m.sheet = o.showMenu(name, Column(2, parts...), beneath, stops, first)
}

// bringIntoView scrolls so far that what lies between two heights is seen whole.
func bringIntoView(scroll *container.Scroll, top, bottom float32) {
	if y := InSight(scroll.Offset.Y, top, bottom-top, scroll.Size().Height); y != scroll.Offset.Y {
		scroll.ScrollToOffset(fyne.NewPos(0, y))
	}
}

// InSight is how far to scroll, from where it is scrolled now, for what begins at a place and has a length to be seen
// in a room, or at least its beginning.
func InSight(offset, at, length, room float32) float32 { return min(max(offset, at+length-room), at) }
