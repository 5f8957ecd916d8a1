package health

import (
	"fyne.io/fyne/v2"
)

// layers lays the pane out: what is painted, and the list over it as far as the arrangement's rows reach.
type layers struct{ pane *Pane }

// MinSize implements fyne.Layout.
func (l layers) MinSize([]fyne.CanvasObject) fyne.Size { return l.pane.still.MinSize() }

// Layout implements fyne.Layout.
func (l layers) Layout(_ []fyne.CanvasObject, size fyne.Size) { l.pane.still.Resize(size) }

// arrangement lays out what is painted in one column, its rows as high as there is room for.
type arrangement Pane

// Heights and widths, in units.
const (
	minRow     = 13
	maxRow     = 26
	headHeight = 14
	columnGap  = 20
	inset      = barWidth + 2 // of the words
	minWidth   = 392
)

// MinSize implements fyne.Layout.
func (a *arrangement) MinSize([]fyne.CanvasObject) fyne.Size {
	lines, heads := a.count()
	return fyne.NewSize(minWidth, float32(lines*minRow+heads*headHeight))
}

// count returns the number of lines and of headings. States are short: two on a line.
func (a *arrangement) count() (lines, heads int) {
	for _, g := range a.groups {
		lines += len(g.rows)
	}
	heads = len(a.groups)
	if len(a.states) > 0 {
		lines += (len(a.states) + 1) / 2
		heads++
	}
	return lines, heads
}

// Layout implements fyne.Layout.
func (a *arrangement) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	lines, heads := a.count()
	if lines == 0 {
		return
	}
	height := float32(int((size.Height - float32(heads*headHeight)) / float32(lines)))
	height = max(minRow, min(height, maxRow))
	// What is left over stands between the groups.
	gap := float32(0)
	if heads > 1 {
		left := size.Height - float32(heads*headHeight) - float32(lines)*height
		gap = max(0, min(float32(int(left/float32(heads-1))), 12))
	}
	y := float32(0)
	a.lines = a.lines[:0]
	for i, g := range a.groups {
		place(g.heading, inset, y, size.Width-inset, headHeight)
		a.lines = append(a.lines, line{y, headHeight, i, nil})
		y += headHeight
		for _, r := range g.rows {
			r.place(inset, y, size.Width-inset, height)
			a.lines = append(a.lines, line{y, height, i, r})
			y += height
		}
		y += gap
	}
	a.placeStates(y, size.Width, height)
	place(a.list, 0, 0, size.Width, y)
	a.list.place()
}

func (a *arrangement) placeStates(y, width, height float32) {
	place(a.heading, inset, y, width-inset, headHeight)
	half := (width - inset - columnGap) / 2
	for i, s := range a.states {
		left := inset + float32(i%2)*(half+columnGap)
		top := y + headHeight + float32(i/2)*height
		room := half
		if i == len(a.states)-1 && i%2 == 0 { // the last has its line to itself
			room = width - inset
		}
		state := min(s.words.MinSize().Width, room)
		place(s.name, left, top, room-state-4, height)
		place(s.words, left+room-state, top, state, height)
	}
}

func place(object fyne.CanvasObject, x, y, width, height float32) {
	object.Move(fyne.NewPos(float32(int(x)), float32(int(y))))
	object.Resize(fyne.NewSize(float32(int(width)), float32(int(height))))
}
