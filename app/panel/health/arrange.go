package health

import (
	"fyne.io/fyne/v2"
)

// arrangement lays the pane out: one column where the rows fit at a comfortable
// height, closer where that is needed, and two columns where even that isn't enough.
type arrangement Pane

// Heights and widths, in units.
const (
	leastRow    = 17
	mostRow     = 26
	headHeight  = 17
	columnGap   = 20
	leastWidth  = 392
	leastHeight = 440
)

// MinSize implements fyne.Layout.
func (a *arrangement) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(leastWidth, leastHeight)
}

// block is a heading with lines that stay together.
type block struct {
	lines int
	place func(x, y, width, row float32, narrow bool)
}

// Layout implements fyne.Layout.
func (a *arrangement) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	blocks := a.blocks()
	if row := rowHeight(blocks, size.Height); row >= leastRow {
		stack(blocks, 0, size.Width, min(row, mostRow), false)
		return
	}
	split := halve(blocks)
	row := min(rowHeight(blocks[:split], size.Height), rowHeight(blocks[split:], size.Height))
	width := (size.Width - columnGap) / 2
	row = max(min(row, mostRow), leastRow-2)
	stack(blocks[:split], 0, width, row, true)
	stack(blocks[split:], width+columnGap, width, row, true)
}

// rowHeight returns the height of a row when blocks fill a height.
func rowHeight(blocks []block, height float32) float32 {
	lines := 0
	for _, b := range blocks {
		lines += b.lines
	}
	if lines == 0 {
		return mostRow
	}
	return float32(int((height - float32(len(blocks))*headHeight) / float32(lines)))
}

// halve returns where to split blocks so that both columns are nearly as long.
func halve(blocks []block) int {
	total := 0
	for _, b := range blocks {
		total += b.lines + 1
	}
	best, bestOff, sum := 0, total, 0
	for i, b := range blocks {
		sum += b.lines + 1
		off := max(2*sum-total, total-2*sum)
		if off < bestOff {
			best, bestOff = i+1, off
		}
	}
	return best
}

// stack lays blocks beneath each other.
func stack(blocks []block, x, width, row float32, narrow bool) {
	y := float32(0)
	for _, b := range blocks {
		b.place(x, y, width, row, narrow)
		y += headHeight + float32(b.lines)*row
	}
}

func (a *arrangement) blocks() []block {
	var blocks []block
	for _, g := range a.groups {
		blocks = append(blocks, block{len(g.rows), func(x, y, width, row float32, narrow bool) {
			place(g.heading, x, y, width, headHeight)
			for i, r := range g.rows {
				r.place(x, y+headHeight+float32(i)*row, width, row, narrow)
			}
		}})
	}
	if len(a.switches) == 0 {
		return blocks
	}
	// Switches are short: two on a line.
	return append(blocks, block{(len(a.switches) + 1) / 2, func(x, y, width, row float32, _ bool) {
		place(a.heading, x, y, width, headHeight)
		half := (width - columnGap) / 2
		for i, s := range a.switches {
			left := x + float32(i%2)*(half+columnGap)
			top := y + headHeight + float32(i/2)*row
			state := min(s.state.MinSize().Width, half)
			place(s.name, left, top, half-state-4, row)
			place(s.state, left+half-state, top, state, row)
		}
	}})
}

func place(object fyne.CanvasObject, x, y, width, height float32) {
	object.Move(fyne.NewPos(float32(int(x)), float32(int(y))))
	object.Resize(fyne.NewSize(float32(int(width)), float32(int(height))))
}
