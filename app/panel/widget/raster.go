package widget

import (
	"image"

	"fyne.io/fyne/v2/canvas"
)

// NewRaster returns a picture that draw makes pixel by pixel. It is put on the screen as it is: smoothed, as the
// window library does it by itself, each of its pixels is sampled four times in every frame.
func NewRaster(draw func(width, height int) image.Image) *canvas.Raster {
	r := canvas.NewRaster(draw)
	r.ScaleMode = canvas.ImageScalePixels
	return r
}
