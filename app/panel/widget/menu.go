package widget

import (
	"fyne.io/fyne/v2"
)

// Item is a line of a menu.
type Item struct {
	Words, Name, Tip string
	Act              func()
	// Chosen marks the one in force.
	Chosen bool
}

// menuItem is a button whose arrow keys walk the menu.
type menuItem struct {
	Button
	move func(by int)
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

// ShowItems opens a menu beneath an object. The chosen line, or else the first,
// has the keyboard; a line that is picked closes the menu before it acts.
func (o *Open) ShowItems(name string, beneath fyne.CanvasObject, items []Item) *Sheet {
	lines := make([]*menuItem, len(items))
	parts := make([]Part, len(items))
	var sheet *Sheet
	first := 0
	for i, item := range items {
		line := &menuItem{Button: Button{words: item.Words, size: BodyText, look: Bare, left: true}}
		line.act = func() {
			sheet.Close()
			item.Act()
		}
		line.move = func(by int) { lines[(i+by+len(lines))%len(lines)].Focus() }
		line.Become(line, item.Name, item.Tip)
		if item.Chosen {
			line.look, first = Chosen, i
		}
		lines[i], parts[i] = line, Fixed(line)
	}
	parts = append(parts, Fixed(Row(0, Space(beneath.Size().Width-8)))) // as wide as what it opens from
	sheet = o.ShowMenu(name, Column(2, parts...), beneath, lines[first])
	return sheet
}
