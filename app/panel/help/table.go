package help

import (
	"image/color"
	"regexp"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Gaps of a table, in units.
const (
	columnGap = 10
	rowGap    = 4
	minCell   = 40
)

// newTable lays a table out in a width: columns as wide as their words where there is room for all, else the wide
// ones as narrow as it takes, their words on several lines. Cells with what is sought stand out; at is where the first
// row with one begins.
func newTable(rows [][]string, width float32, sought *regexp.Regexp) (object fyne.CanvasObject, at float32) {
	columns := 0
	for _, row := range rows {
		columns = max(columns, len(row))
	}
	widths := make([]float32, columns)
	for i, row := range rows {
		for k, words := range row {
			parts := []string{words}
			if i == 0 { // a head may stand on several lines where what is beneath it is narrow
				parts = strings.Fields(words)
			}
			for _, part := range parts {
				widths[k] = max(widths[k], cell(part, i == 0).MinSize().Width)
			}
		}
	}
	fit(widths, width-float32(columns-1)*columnGap)
	table := container.NewWithoutLayout()
	y, found := float32(0), false
	for i, row := range rows {
		x, height := float32(0), float32(0)
		for k, words := range row {
			mark := sought != nil && sought.MatchString(words)
			if mark && !found {
				at, found = y, true
			}
			lines := widget.Lines(words, widths[k], func(line string) *widget.Text {
				text := cell(line, i == 0)
				if mark {
					text.Tone(view.Attention)
				}
				return text
			})
			minimum := lines.MinSize()
			lines.Move(fyne.NewPos(x, y))
			lines.Resize(fyne.NewSize(widths[k], minimum.Height))
			table.Add(lines)
			x, height = x+widths[k]+columnGap, max(height, minimum.Height)
		}
		y += height + rowGap
		rule := widget.NewGround(func(p *widget.Palette) color.NRGBA { return p.Line }, 0)
		rule.Move(fyne.NewPos(0, y-rowGap/2))
		rule.Resize(fyne.NewSize(width, 1))
		table.Add(rule)
	}
	return container.New(&sized{fyne.NewSize(width, y)}, table), at
}

// cell is a line of a cell.
func cell(words string, head bool) *widget.Text {
	text := widget.NewText(words).Small()
	if head {
		return text.Bold().Tone(view.Faint)
	}
	return text
}

// fit narrows the widest columns until all have room.
func fit(widths []float32, room float32) {
	for {
		sum := float32(0)
		for _, w := range widths {
			sum += w
		}
		over := sum - room
		if over <= 0.5 {
			return
		}
		widest := slices.Max(widths)
		next, count := float32(minCell), float32(0)
		for _, w := range widths {
			if w < widest-0.5 {
				next = max(next, w)
			} else {
				count++
			}
		}
		if widest <= minCell {
			return // there is no room for so many columns
		}
		to := max(next, widest-over/count, minCell)
		for i, w := range widths {
			if w >= widest-0.5 {
				widths[i] = to
			}
		}
		if to >= widest-0.5 && next < widest-0.5 {
			return
		}
	}
}

// sized keeps what lies in it at a size.
type sized struct{ size fyne.Size }

// MinSize implements fyne.Layout.
func (s *sized) MinSize([]fyne.CanvasObject) fyne.Size { return s.size }

// Layout implements fyne.Layout.
func (s *sized) Layout(objects []fyne.CanvasObject, _ fyne.Size) {
	for _, o := range objects {
		o.Resize(s.size)
	}
}
