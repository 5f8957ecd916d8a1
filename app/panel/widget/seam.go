package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// The window is cleared in the colour of a pane, and only the seams between the panes are painted: a ground of each
// pane would be painted over every pixel of the window again in each frame.

func newSeam() *Ground {
	return NewGround(func(p *Palette) color.NRGBA { return p.Background }, 0)
}

// Seamed paints the gaps of a Row or Column.
func Seamed(of *fyne.Container) *fyne.Container {
	a := of.Layout.(*arrangement)
	for range len(a.parts) - 1 {
		seam := newSeam()
		a.seams = append(a.seams, seam)
		of.Add(seam)
	}
	return of
}

// layoutSeam puts the next seam before a place, and returns the seams left.
func (a *arrangement) layoutSeam(seams []*Ground, before, across float32) []*Ground {
	if len(seams) == 0 {
		return nil
	}
	place := fyne.NewPos(before-a.gap, 0)
	if a.down {
		place = fyne.NewPos(0, before-a.gap)
	}
	seams[0].Move(place)
	seams[0].Resize(a.join(a.gap, across))
	seams[0].Show()
	return seams[1:]
}

// Framed paints a seam of a width round a content.
func Framed(content fyne.CanvasObject, width float32) *fyne.Container {
	return container.New(frame(width), content, newSeam(), newSeam(), newSeam(), newSeam())
}

type frame float32

// MinSize implements fyne.Layout.
func (f frame) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[0].MinSize().AddWidthHeight(2*float32(f), 2*float32(f))
}

// Layout implements fyne.Layout.
func (f frame) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	wide := float32(f)
	inner := size.SubtractWidthHeight(2*wide, 2*wide)
	for i, box := range [...]struct {
		at   fyne.Position
		size fyne.Size
	}{
		{fyne.NewPos(wide, wide), inner},
		{fyne.NewPos(0, 0), fyne.NewSize(size.Width, wide)},
		{fyne.NewPos(0, size.Height-wide), fyne.NewSize(size.Width, wide)},
		{fyne.NewPos(0, wide), fyne.NewSize(wide, inner.Height)},
		{fyne.NewPos(size.Width-wide, wide), fyne.NewSize(wide, inner.Height)},
	} {
		objects[i].Move(box.at)
		objects[i].Resize(box.size)
	}
}
