package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/view"
)

// columns lays the cells of a menu's lines out beneath each other. It is the same for all lines of a menu.
type columns struct {
	widths []float32 // of the words and of each column of cells
}

// columnGap is the room between two columns, columnInset that at the ends of a line.
const (
	columnGap   = 18
	columnInset = 8
)

func newColumns(items []Item) *columns {
	c := &columns{}
	for _, item := range items {
		c.reserve(append([]string{item.Words}, item.Cells...))
	}
	return c
}

// reserve makes the columns wide enough for a line; the first is as wide as its words are in bold.
func (c *columns) reserve(words []string) {
	for i, cell := range words {
		if i == len(c.widths) {
			c.widths = append(c.widths, 0)
		}
		style := fyne.TextStyle{Bold: i == 0}
		c.widths[i] = max(c.widths[i], ceil(fyne.MeasureText(Printable(cell), BodyText, style).Width))
	}
}

// line is a line of a menu with its cells over it; the line alone where it has none.
func (c *columns) line(under *menuItem, item Item) fyne.CanvasObject {
	if len(item.Cells) == 0 {
		return under
	}
	under.faint = item.Faint
	tone := view.Plain
	if item.Faint {
		tone = view.Faint
	}
	return container.New(c, append([]fyne.CanvasObject{under}, cells(item.Cells, BodyText, tone)...)...)
}

// heads are the words over the columns.
func (c *columns) heads(words []string) fyne.CanvasObject {
	first := cells(words[:1], SmallText, view.Faint)[0]
	return container.New(c, append([]fyne.CanvasObject{Padded(first, columnInset, 0)},
		cells(words[1:], SmallText, view.Faint)...)...)
}

// cells are texts of a line, the last at its left, the others, which are figures, at their right.
func cells(words []string, size float32, tone view.Tone) (all []fyne.CanvasObject) {
	for i, cell := range words {
		text := NewText(cell).Tone(tone)
		text.SetSize(size)
		if i+1 < len(words) {
			text.Right()
		}
		all = append(all, text)
	}
	return all
}

// MinSize implements fyne.Layout.
func (c *columns) MinSize(objects []fyne.CanvasObject) fyne.Size {
	width := float32(2*columnInset) + columnGap*float32(len(c.widths)-1)
	for _, w := range c.widths {
		width += w
	}
	return fyne.NewSize(width, objects[0].MinSize().Height)
}

// Layout implements fyne.Layout: the first object fills the line.
func (c *columns) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Resize(size)
	objects[0].Move(fyne.Position{})
	at := float32(columnInset) + c.widths[0]
	for i, cell := range objects[1:] {
		at += columnGap
		cell.Resize(fyne.NewSize(c.widths[i+1], size.Height))
		cell.Move(fyne.NewPos(at, 0))
		at += c.widths[i+1]
	}
}
