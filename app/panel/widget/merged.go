package widget

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// Merged paints the objects of a widget as a single picture: the window library draws every object of the window again
// in each frame, and an object costs more by being one than by its pixels. Texts, rectangles, grounds and pictures are
// painted, and what a container holds of them.
type Merged struct {
	// Picture is what the widget's renderer gives in place of the objects.
	Picture *canvas.Raster

	objects []fyne.CanvasObject
	margin  float32
	kept    *image.RGBA // as last painted; nil when it is out of date
	words   map[fyne.CanvasObject]keptWords
	drawn   map[*canvas.Raster]image.Image
}

// NewMerged merges objects that reach beyond their widget by a margin.
func NewMerged(margin float32, objects ...fyne.CanvasObject) *Merged {
	m := &Merged{
		objects: objects, margin: margin,
		words: map[fyne.CanvasObject]keptWords{}, drawn: map[*canvas.Raster]image.Image{},
	}
	m.Picture = NewRaster(m.paint)
	return m
}

// Hold merges other objects from now on, the first beneath.
func (m *Merged) Hold(objects ...fyne.CanvasObject) {
	m.objects = objects
	m.Redraw()
}

// Resize gives the picture its place in a widget of a size.
func (m *Merged) Resize(size fyne.Size) {
	m.kept = nil
	m.Picture.Move(fyne.NewPos(-m.margin, -m.margin))
	m.Picture.Resize(size.AddWidthHeight(2*m.margin, 2*m.margin))
}

// Redraw has the objects painted again, and of the pictures among them those given; the others are kept as drawn.
func (m *Merged) Redraw(pictures ...*canvas.Raster) {
	for _, picture := range pictures {
		delete(m.drawn, picture)
	}
	m.kept = nil
	Redraw(m.Picture)
}

// forgetAll forgets every object as it was last painted.
func (m *Merged) forgetAll() {
	clear(m.words)
	clear(m.drawn)
}

func (m *Merged) paint(w, h int) image.Image {
	if m.kept != nil && m.kept.Rect.Dx() == w && m.kept.Rect.Dy() == h {
		return m.kept
	}
	m.kept = image.NewRGBA(image.Rect(0, 0, w, h))
	if size := m.Picture.Size(); w > 0 && h > 0 && size.Width > 0 && size.Height > 0 {
		// The longer side tells the scale better: both were rounded to whole pixels.
		b := brush{merged: m, on: m.kept, scale: float64(w) / float64(size.Width)}
		if size.Height > size.Width {
			b.scale = float64(h) / float64(size.Height)
		}
		// Where a unit is no whole number of pixels the picture may be a pixel wider than its place: it is smoothed, so
		// that no letter loses a column.
		m.Picture.ScaleMode = canvas.ImageScalePixels
		if math.Abs(b.scale-math.Round(b.scale)) > 0.02 {
			m.Picture.ScaleMode = canvas.ImageScaleSmooth
		}
		for _, object := range m.objects {
			b.paint(object, object.Position().AddXY(m.margin, m.margin))
		}
	}
	return m.kept
}

// drawing is a picture among the objects, drawn again only where Redraw was given it or its size is another.
func (m *Merged) drawing(of *canvas.Raster, w, h int) image.Image {
	if have := m.drawn[of]; have != nil && have.Bounds().Dx() == w && have.Bounds().Dy() == h {
		return have
	}
	drawn := of.Generator(w, h)
	m.drawn[of] = drawn
	return drawn
}
