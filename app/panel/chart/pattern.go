package chart

import (
	"image"
	"image/color"
	"math"
)

// Hatch covers an area with slanting lines, every so many pixels along a row.
// The lines of neighbouring areas meet.
func (d *Drawing) Hatch(area image.Rectangle, every, width float64, ink color.NRGBA) {
	d.pattern(area, ink, func(x, y int) float64 {
		// Distance along the row from the nearest line's middle; a line is sqrt 2 as wide there.
		along := math.Abs(math.Remainder(float64(x+y), every))
		return width*math.Sqrt2/2 + 0.5 - along
	})
}

// Dots covers an area with dots, in rows that are offset by half.
func (d *Drawing) Dots(area image.Rectangle, every, radius float64, ink color.NRGBA) {
	d.pattern(area, ink, func(x, y int) float64 {
		row := math.Round(float64(y) / every)
		across := math.Remainder(float64(x)+math.Mod(row, 2)*every/2, every)
		return radius + 0.5 - math.Hypot(across, float64(y)-row*every)
	})
}

// pattern paints ink as far as it covers each pixel: 0 or less is not at all, 1 or more is whole.
func (d *Drawing) pattern(area image.Rectangle, ink color.NRGBA, cover func(x, y int) float64) {
	area = area.Intersect(d.picture.Bounds())
	for y := area.Min.Y; y < area.Max.Y; y++ {
		row := d.picture.Pix[d.picture.PixOffset(area.Min.X, y):]
		for x := area.Min.X; x < area.Max.X; x++ {
			if part := cover(x, y); part > 0 {
				blend(row[(x-area.Min.X)*4:], ink, min(part, 1))
			}
		}
	}
}

// blend puts a colour over a pixel.
func blend(pixel []uint8, ink color.NRGBA, part float64) {
	a := part * float64(ink.A) / 255
	over := func(i int, v float64) {
		pixel[i] = uint8(math.Round(v*a + float64(pixel[i])*(1-a)))
	}
	over(0, float64(ink.R))
	over(1, float64(ink.G))
	over(2, float64(ink.B))
	over(3, 255)
}
