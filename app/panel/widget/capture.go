package widget

import (
	"image"
	"image/draw"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/software"
)

// Picture is an object as it looks now in its window; empty where it is in none. It is drawn without the graphics
// driver: what such a driver has on the screen cannot be read back everywhere. The object stays as and where it is.
func Picture(of fyne.CanvasObject) image.Image {
	on := fyne.CurrentApp().Driver().CanvasForObject(of)
	if on == nil {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	at, size := of.Position(), of.Size()
	canvas := software.NewCanvas()
	canvas.SetPadded(false)
	canvas.SetContent(container.NewWithoutLayout(of))
	canvas.SetScale(on.Scale())
	canvas.Resize(fyne.NewSize(at.X+size.Width, at.Y+size.Height))
	whole := canvas.Capture()
	pixels := func(v float32) int { return int(math.Round(float64(v * on.Scale()))) }
	part := image.Rect(pixels(at.X), pixels(at.Y), pixels(at.X+size.Width),
		pixels(at.Y+size.Height)).Intersect(whole.Bounds())
	out := image.NewRGBA(image.Rect(0, 0, part.Dx(), part.Dy()))
	draw.Draw(out, out.Bounds(), whole, part.Min, draw.Src)
	return out
}
