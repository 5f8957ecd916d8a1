package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Wrapping is a Row whose parts from one on stand in a second row where there is no room for all in one.
type Wrapping struct {
	Object *fyne.Container
	second int
	one    arrangement
	two    [2]arrangement
}

// NewWrapping returns a Row of parts; second is the first part of the second row.
func NewWrapping(gap float32, second int, parts ...Part) *Wrapping {
	w := &Wrapping{
		second: second,
		one:    arrangement{gap: gap, parts: parts},
		two:    [2]arrangement{{gap: gap, parts: parts[:second]}, {gap: gap, parts: parts[second:]}},
	}
	objects := make([]fyne.CanvasObject, len(parts))
	for i, part := range parts {
		objects[i] = part.Object
	}
	w.Object = container.New(wrapping{w}, objects...)
	return w
}

// HeightAt is how high it is at a width.
func (w *Wrapping) HeightAt(width float32) float32 {
	one := w.one.MinSize(nil)
	if one.Width <= width {
		return one.Height
	}
	return w.two[0].MinSize(nil).Height + w.one.gap/4 + w.two[1].MinSize(nil).Height
}

type wrapping struct{ of *Wrapping }

// MinSize implements fyne.Layout: as wide as the wider of two rows, as high as one.
func (l wrapping) MinSize([]fyne.CanvasObject) fyne.Size {
	upper, lower := l.of.two[0].MinSize(nil), l.of.two[1].MinSize(nil)
	return upper.Max(lower)
}

// Layout implements fyne.Layout.
func (l wrapping) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	w := l.of
	if w.one.MinSize(nil).Width <= size.Width {
		w.one.Layout(nil, size)
		return
	}
	upper := w.two[0].MinSize(nil).Height
	w.two[0].Layout(nil, fyne.NewSize(size.Width, upper))
	y := upper + w.one.gap/4
	w.two[1].Layout(nil, fyne.NewSize(size.Width, size.Height-y))
	for _, part := range w.two[1].parts {
		part.Object.Move(part.Object.Position().AddXY(0, y))
	}
}
