package widget

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Flow puts objects beside each other, and goes on beneath where there is no more room.
func Flow(gap float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(&flow{gap: gap, width: SheetWidth}, objects...)
}

// rowOf is a sheet's row of buttons at its right: first the way out, last what is done most.
func rowOf(buttons []*Button) *fyne.Container {
	objects := make([]fyne.CanvasObject, len(buttons))
	for i, b := range buttons {
		objects[i] = b
	}
	return container.New(&flow{gap: 8, width: SheetWidth, right: true}, objects...)
}

type flow struct {
	gap   float32
	right bool    // rows end at the right edge
	width float32 // at the last layout
}

// rows are the objects of each row at a width.
func (f *flow) rows(objects []fyne.CanvasObject, width float32) (rows [][]fyne.CanvasObject) {
	var row []fyne.CanvasObject
	for _, object := range objects {
		if next := append(row, object); len(row) > 0 && f.across(next) > width {
			rows, row = append(rows, row), nil
		}
		row = append(row, object)
	}
	return append(rows, row)
}

// across is how wide a row is.
func (f *flow) across(row []fyne.CanvasObject) float32 {
	width := -f.gap
	for _, object := range row {
		width += f.gap + object.MinSize().Width
	}
	return width
}

func highest(row []fyne.CanvasObject) (height float32) {
	for _, object := range row {
		height = max(height, object.MinSize().Height)
	}
	return height
}

// MinSize implements fyne.Layout: as wide as the widest object, as high as the rows at the last width.
func (f *flow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var size fyne.Size
	for _, object := range objects {
		size.Width = max(size.Width, object.MinSize().Width)
	}
	for i, row := range f.rows(objects, f.width) {
		if i > 0 {
			size.Height += f.gap
		}
		size.Height += highest(row)
	}
	return size
}

// Layout implements fyne.Layout.
func (f *flow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	f.width = size.Width
	y := float32(0)
	for _, row := range f.rows(slices.Clip(objects), size.Width) {
		x, height := float32(0), highest(row)
		if f.right {
			x = size.Width - f.across(row)
		}
		for _, object := range row {
			width := object.MinSize().Width
			object.Move(fyne.NewPos(float32(int(x)), y))
			object.Resize(fyne.NewSize(width, height))
			x += width + f.gap
		}
		y += height + f.gap
	}
}
