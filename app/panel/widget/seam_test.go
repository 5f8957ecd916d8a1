package widget

import (
	"testing"

	"fyne.io/fyne/v2"
)

// The seams of a row fill its gaps exactly, none is left where a part is hidden, and a frame leaves no pixel of its
// border.
func TestSeamsFillTheGaps(t *testing.T) {
	parts := []*Text{NewText("a"), NewText("b"), NewText("c")}
	for _, down := range []bool{false, true} {
		build := Row
		if down {
			build = Column
		}
		row := Seamed(build(6, Sharing(parts[0]), Sharing(parts[1]), Sharing(parts[2])))
		framed := Framed(row, 6)
		window(t, framed)
		framed.Resize(fyne.NewSize(301, 203))
		seams := row.Objects[3:]
		for _, hidden := range []bool{false, true} {
			if parts[1].Show(); hidden {
				parts[1].Hide()
			}
			row.Refresh()
			along := func(o fyne.CanvasObject) (from, to, across float32) {
				if at, size := o.Position(), o.Size(); down {
					return at.Y, at.Y + size.Height, size.Width
				} else {
					return at.X, at.X + size.Width, size.Height
				}
			}
			last, shown := parts[0], 0
			for _, part := range parts[1:] {
				if !part.Visible() {
					continue
				}
				_, from, across := along(last)
				to, _, _ := along(part)
				if a, b, wide := along(seams[shown]); a != from || b != to || wide != across ||
					!seams[shown].Visible() {
					t.Errorf("down %v: a seam from %v to %v, %v wide, in a gap from %v to %v, %v wide", down, a, b,
						wide, from, to, across)
				}
				last, shown = part, shown+1
			}
			for _, left := range seams[shown:] {
				if left.Visible() {
					t.Errorf("down %v: a seam where no gap is", down)
				}
			}
		}
		area := row.Size().Width * row.Size().Height
		for _, seam := range framed.Objects[1:] {
			area += seam.Size().Width * seam.Size().Height
		}
		if area != 301*203 {
			t.Errorf("content and frame cover %v of %v", area, 301*203)
		}
	}
}
