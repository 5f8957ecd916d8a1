package widget

import (
	"image"
	"image/draw"

	"fyne.io/fyne/v2"
)

// Picture is an object as it looks now in its window; empty where it is in none.
func Picture(of fyne.CanvasObject) image.Image {
	driver := fyne.CurrentApp().Driver()
	c := driver.CanvasForObject(of)
	if c == nil {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	whole := c.Capture()
	at, size := driver.AbsolutePositionForObject(of), of.Size()
	pixels := func(v float32) int { return int(v * c.Scale()) }
	part := image.Rect(pixels(at.X), pixels(at.Y), pixels(at.X+size.Width),
		pixels(at.Y+size.Height)).Intersect(whole.Bounds())
	out := image.NewRGBA(image.Rect(0, 0, part.Dx(), part.Dy()))
	draw.Draw(out, out.Bounds(), whole, part.Min, draw.Src)
	return out
}
