package spectrum

import (
	"image/color"

	"beamhelm/app/panel/widget"
)

// viridisPoints are eleven points of the colour map viridis, evenly apart (Smith and van der
// Walt 2015, published under CC0): its lightness rises evenly, also for eyes that confuse colours.
var viridisPoints = [...]uint32{
	0x440154, 0x482576, 0x414487, 0x35608D, 0x2A788E, 0x21908C, 0x22A884, 0x43BF71, 0x7AD151, 0xBBDF27, 0xFDE725,
}

// dimmed is how bright the map is in the dim palette, for eyes adapted to the dark.
const dimmed = 0.6

// coloursOf is the map for a palette.
func coloursOf(p *widget.Palette) [256]color.RGBA {
	if p.Name == widget.Dim().Name {
		return newColours(dimmed)
	}
	return newColours(1)
}

// newColours returns the map in 256 steps, from the lowest to the highest level, at a part of its brightness.
func newColours(bright float64) (colours [256]color.RGBA) {
	for i := range colours {
		at := float64(i) / 255 * float64(len(viridisPoints)-1)
		left := min(int(at), len(viridisPoints)-2)
		part := at - float64(left)
		mix := func(shift uint) uint8 {
			a, b := float64(viridisPoints[left]>>shift&255), float64(viridisPoints[left+1]>>shift&255)
			return uint8((a+(b-a)*part)*bright + 0.5)
		}
		colours[i] = color.RGBA{mix(16), mix(8), mix(0), 255}
	}
	return colours
}
