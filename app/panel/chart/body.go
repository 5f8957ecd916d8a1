package chart

import (
	"image/color"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
)

// BodyInk returns the colour of a body.
func BodyInk(p *widget.Palette, kind desk.BodyKind) color.NRGBA {
	switch kind {
	case desk.Moon:
		return p.Moon
	case desk.Sun:
		return p.Sun
	}
	return p.Source
}

// Diamond returns the corners of a square that stands on one of them, the first one again at the end.
func Diamond(c Point, r float64) []Point {
	return []Point{{c.X, c.Y - r}, {c.X + r, c.Y}, {c.X, c.Y + r}, {c.X - r, c.Y}, {c.X, c.Y - r}}
}
