package chart

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/panel/widget"
)

// Kept keeps the last picture of a raster for as long as what it shows, its key, is the same.
type Kept[Key comparable] struct {
	key     Key
	picture *image.RGBA
}

// Of returns the picture of a key, drawn again only when the key or the size changed.
func (k *Kept[Key]) Of(key Key, w, h int, draw func(*Drawing)) *image.RGBA {
	if k.picture == nil || k.key != key || k.picture.Bounds().Dx() != w || k.picture.Bounds().Dy() != h {
		d := New(w, h)
		draw(d)
		k.key, k.picture = key, d.picture
	}
	return k.picture
}

// NewMark returns a raster for a small mark. The drawing's unit is the window's:
// draw gets the number of pixels that go into one.
func NewMark(side float32, draw func(d *Drawing, w, h, perUnit float64)) *canvas.Raster {
	mark := widget.NewRaster(nil)
	mark.Generator = func(w, h int) image.Image {
		d := New(w, h)
		draw(d, float64(w), float64(h), PerUnit(w, mark))
		return d.picture
	}
	mark.Resize(fyne.NewSize(side, side))
	return mark
}

// PerUnit returns the number of pixels in a unit of the window, for an object that is w pixels wide.
func PerUnit(w int, object fyne.CanvasObject) float64 {
	if width := object.Size().Width; width > 0 {
		return float64(w) / float64(width)
	}
	return 1
}

// Snap rounds a position to whole pixels of the canvas the object is on.
func Snap(object fyne.CanvasObject, x, y float64) fyne.Position {
	scale := float32(1)
	if c := fyne.CurrentApp().Driver().CanvasForObject(object); c != nil {
		scale = c.Scale()
	}
	round := func(v float64) float32 {
		pixels := float32(v)*scale + 0.5
		whole := float32(int(pixels))
		if whole > pixels {
			whole-- // towards zero from below
		}
		return whole / scale
	}
	return fyne.NewPos(round(x), round(y))
}
