package widget

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/software"
	"golang.org/x/image/vector"
)

// brush paints merged objects on a picture of scale pixels a unit.
type brush struct {
	merged *Merged
	on     *image.RGBA
	scale  float64
}

func (b *brush) paint(object fyne.CanvasObject, at fyne.Position) {
	if !object.Visible() {
		return
	}
	box := b.box(at, object.Size())
	switch o := object.(type) {
	case *fyne.Container:
		for _, child := range o.Objects {
			b.paint(child, at.Add(child.Position()))
		}
	case *Text:
		height := fyne.MeasureText(" ", o.size, o.style()).Height
		at.Y += float32(int((o.Size().Height - height) / 2))
		b.text(o, at, o.Size().Width, o.align, wordsKey{o.shortened(o.Size().Width), o.size, o.style(), b.scale,
			Current().Tint(o.tone)})
	case *canvas.Text:
		height := fyne.MeasureText(" ", o.TextSize, o.TextStyle).Height
		at.Y += max(0, (o.Size().Height-height)/2)
		b.text(o, at, o.Size().Width, o.Alignment, wordsKey{o.Text, o.TextSize, o.TextStyle, b.scale, nrgba(o.Color)})
	case *Ground:
		b.rectangle(box, o.colour(Current()), color.NRGBA{}, 0, o.corner)
	case *canvas.Rectangle:
		b.rectangle(box, nrgba(o.FillColor), nrgba(o.StrokeColor), o.StrokeWidth, o.CornerRadius)
	case *canvas.Raster:
		if box.Overlaps(b.on.Rect) {
			draw.Draw(b.on, box, b.merged.drawing(o, box.Dx(), box.Dy()), image.Point{}, draw.Over)
		}
	}
}

// nrgba is a colour in the form that the palettes have; nil is transparent.
func nrgba(c color.Color) color.NRGBA {
	if c == nil {
		return color.NRGBA{}
	}
	return color.NRGBAModel.Convert(c).(color.NRGBA)
}

// box is a rectangle in whole pixels.
func (b *brush) box(at fyne.Position, size fyne.Size) image.Rectangle {
	x, y := b.pixels(at.X), b.pixels(at.Y)
	return image.Rect(x, y, x+b.pixels(size.Width), y+b.pixels(size.Height))
}

func (b *brush) pixels(units float32) int { return int(math.Round(float64(units) * b.scale)) }

// rectangle fills a box and outlines it within its edge.
func (b *brush) rectangle(box image.Rectangle, fill, line color.NRGBA, width, corner float32) {
	if !box.Overlaps(b.on.Rect) {
		return
	}
	radius := corner * float32(b.scale)
	if fill.A != 0 && radius == 0 {
		draw.Draw(b.on, box, image.NewUniform(fill), image.Point{}, draw.Over)
	} else if fill.A != 0 {
		outline := vector.NewRasterizer(box.Dx(), box.Dy())
		rounded(outline, box.Size(), 0, radius, false)
		b.fill(outline, box, fill)
	}
	if line.A != 0 && width > 0 {
		outline := vector.NewRasterizer(box.Dx(), box.Dy())
		rounded(outline, box.Size(), 0, radius, false)
		rounded(outline, box.Size(), float32(math.Round(float64(width)*b.scale)), radius, true)
		b.fill(outline, box, line)
	}
}

// fill paints what is within an outline. It goes by way of a mask: a box may reach beyond the picture by a pixel, where
// sizes were rounded, and the rasterizer itself panics there.
func (b *brush) fill(outline *vector.Rasterizer, box image.Rectangle, colour color.NRGBA) {
	mask := image.NewAlpha(image.Rectangle{Max: box.Size()})
	outline.Draw(mask, mask.Rect, image.Opaque, image.Point{})
	draw.DrawMask(b.on, box, image.NewUniform(colour), image.Point{}, mask, image.Point{}, draw.Over)
}

// rounded adds a rectangle with rounded corners to an outline, inset from the edges of a size. The inner edge of a
// frame goes the other way round, which makes it a hole.
func rounded(outline *vector.Rasterizer, size image.Point, inset, radius float32, inner bool) {
	left, top, right, bottom := inset, inset, float32(size.X)-inset, float32(size.Y)-inset
	r := max(0, min(radius-inset, (right-left)/2, (bottom-top)/2))
	k := r * (1 - 0.5523) // from a corner to the control points of a quarter of a circle drawn as one cubic curve
	if inner {
		left, right = right, left
		r, k = -r, -k
	}
	vertical := max(r, -r)
	near := max(k, -k)
	outline.MoveTo(left+r, top)
	outline.LineTo(right-r, top)
	outline.CubeTo(right-k, top, right, top+near, right, top+vertical)
	outline.LineTo(right, bottom-vertical)
	outline.CubeTo(right, bottom-near, right-k, bottom, right-r, bottom)
	outline.LineTo(left+r, bottom)
	outline.CubeTo(left+k, bottom, left, bottom-near, left, bottom-vertical)
	outline.LineTo(left, top+vertical)
	outline.CubeTo(left, top+near, left+k, top, left+r, top)
	outline.ClosePath()
}

// keptWords is a text as it was last drawn.
type keptWords struct {
	key     wordsKey
	picture image.Image
	width   float32 // of the words
}

// wordsKey is what the picture of a text depends on.
type wordsKey struct {
	words  string
	size   float32
	style  fyne.TextStyle
	scale  float64
	colour color.NRGBA
}

// text puts words where the window library would: by their alignment in a width.
func (b *brush) text(of fyne.CanvasObject, at fyne.Position, width float32, align fyne.TextAlign, key wordsKey) {
	kept := b.merged.words[of]
	if kept.key != key {
		kept = keptWords{key: key}
		if key.words != "" {
			kept.picture, kept.width = drawWords(key)
		}
		b.merged.words[of] = kept
	}
	if kept.picture == nil {
		return
	}
	switch align {
	case fyne.TextAlignTrailing:
		at.X += width - kept.width
	case fyne.TextAlignCenter:
		at.X += (width - kept.width) / 2
	}
	corner := image.Pt(b.pixels(at.X), b.pixels(at.Y))
	draw.Draw(b.on, kept.picture.Bounds().Add(corner), kept.picture, image.Point{}, draw.Over)
}

// drawWords returns a line of words on nothing, and its width in units.
func drawWords(key wordsKey) (image.Image, float32) {
	text := canvas.NewText(key.words, key.colour)
	text.TextSize, text.TextStyle = key.size, key.style
	on := software.NewTransparentCanvas()
	on.SetPadded(false)
	on.SetScale(float32(key.scale))
	on.SetContent(text)
	const overhang = 2 // units: a letter may reach beyond its own width
	size := text.MinSize()
	on.Resize(size.AddWidthHeight(overhang, 0))
	drawn := on.Capture()
	picture := image.NewRGBA(drawn.Bounds())
	draw.Draw(picture, picture.Rect, drawn, image.Point{}, draw.Src)
	return picture, size.Width
}
