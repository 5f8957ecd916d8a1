package health

import (
	"image"
	"image/color"
	"image/draw"

	"golang.org/x/image/vector"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// drawTrace returns the sparkline of a history, w by h pixels. What varies by
// less than a tenth of the scale is not blown up to the whole height.
func drawTrace(h *history, scale float64, ink color.NRGBA, width, height int) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, width, height))
	minimum, maximum, ok := h.bounds()
	if !ok || width < 4 || height < 4 {
		return picture
	}
	span := max(maximum-minimum, float32(scale)/10, 1e-6)
	middle := (minimum + maximum) / 2
	y := func(v float32) float32 {
		return float32(height)/2 - (v-middle)/span*(float32(height)-3)
	}
	outline := vector.NewRasterizer(width, height)
	const half = 0.7 // of the line's thickness, pixels
	step := float32(width-1) / (columnCount - 1)
	for back := 0; back < columnCount; back++ {
		low, high := h.at(back)
		if low != low {
			continue
		}
		right := float32(width) - float32(back)*step
		left := right - step
		// A column reaches to the one before it, so that the line has no gap.
		if back+1 < columnCount {
			if lowBefore, highBefore := h.at(back + 1); lowBefore == lowBefore {
				low, high = min(low, highBefore), max(high, lowBefore)
			}
		}
		outline.MoveTo(left, y(high)-half)
		outline.LineTo(right, y(high)-half)
		outline.LineTo(right, y(low)+half)
		outline.LineTo(left, y(low)+half)
		outline.ClosePath()
	}
	outline.Draw(picture, picture.Bounds(), image.NewUniform(ink), image.Point{})
	return picture
}

// drawStates returns the time line of a sequencer's states: low while it
// receives, half while it goes over, high while it transmits, and a fault in its own colour.
func drawStates(h *history, p *widget.Palette, width, height int) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, width, height))
	for back := range columnCount {
		_, maximum := h.at(back)
		if maximum != maximum || h.column == 0 {
			continue
		}
		part, ink := 0.2, p.Mark
		switch int(maximum) {
		case 1, 3: // going over
			part = 0.6
		case 2: // transmit
			part, ink = 1, p.Measured
		case 4: // fault
			part, ink = 1, p.Alarm
		}
		right := width - back*width/columnCount
		left := width - (back+1)*width/columnCount
		top := height - int(part*float64(height))
		draw.Draw(picture, image.Rect(left, top, right, height), image.NewUniform(ink), image.Point{}, draw.Src)
	}
	return picture
}

// drawBand returns the scale of a reading: the whole, the part where it is
// normal, its limits as ticks, those of alarms over the whole height, and where it stands.
func drawBand(scale view.Scale, p *widget.Palette, ink color.NRGBA, width, height int) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, width, height))
	fill := func(x0, y0, x1, y1 int, c color.NRGBA) {
		draw.Draw(picture, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Src)
	}
	top, bottom := height/4, height-height/4
	fill(0, top, width, bottom, p.Raised)
	at := func(part float64) int { return int(part * float64(width)) }
	fill(at(scale.From), top, at(scale.To), bottom, p.Mark)
	for i, limit := range scale.Limits {
		if limit != limit { // NaN: none
			continue
		}
		x, reach := min(at(limit), width-1), height/6
		if i == 0 || i == len(scale.Limits)-1 {
			reach = 0
		}
		fill(x, reach, x+1, height-reach, p.Dim)
	}
	if scale.At == scale.At { // not NaN
		thick := max(3, width/24)
		x := int(scale.At * float64(width-thick))
		fill(x-1, 0, x+thick+1, height, p.Pane)
		fill(x, 0, x+thick, height, ink)
	}
	return picture
}
