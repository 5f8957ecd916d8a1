// Package chart draws the lines, areas and hatches of the window's plots into
// pictures, smooth at the edges, without any text.
package chart

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/vector"
)

// Point is a place in a picture, in pixels from its upper left corner.
type Point struct{ X, Y float64 }

// Drawing is a picture under work. Shapes are gathered and painted together in
// one colour: painting costs as much as the area that they span, not as their number.
type Drawing struct {
	picture  *image.RGBA
	outline  vector.Rasterizer
	corners  []Point
	contours []int // end of each contour in corners
}

// New returns a transparent drawing of w by h pixels.
func New(w, h int) *Drawing {
	return &Drawing{picture: image.NewRGBA(image.Rect(0, 0, max(w, 0), max(h, 0)))}
}

// Picture returns the picture.
func (d *Drawing) Picture() *image.RGBA { return d.picture }

// Clear empties the picture, so that it can be drawn anew without a new one.
func (d *Drawing) Clear() { clear(d.picture.Pix) }

// Fill paints whole pixels: hairlines along an axis, and areas with straight sides.
func (d *Drawing) Fill(area image.Rectangle, ink color.NRGBA) {
	draw.Draw(d.picture, area, image.NewUniform(ink), image.Point{}, draw.Over)
}

// FillAll paints the whole picture.
func (d *Drawing) FillAll(ink color.NRGBA) { d.Fill(d.picture.Bounds(), ink) }

// Across paints a horizontal hairline thick pixels high whose middle is nearest to y.
func (d *Drawing) Across(x0, x1, y float64, thick int, ink color.NRGBA) {
	top := int(math.Round(y - float64(thick)/2))
	d.Fill(image.Rect(int(math.Round(x0)), top, int(math.Round(x1)), top+thick), ink)
}

// Down paints a vertical hairline thick pixels wide whose middle is nearest to x.
func (d *Drawing) Down(x, y0, y1 float64, thick int, ink color.NRGBA) {
	left := int(math.Round(x - float64(thick)/2))
	d.Fill(image.Rect(left, int(math.Round(y0)), left+thick, int(math.Round(y1))), ink)
}

// Polygon gathers a filled outline.
func (d *Drawing) Polygon(corners ...Point) {
	var twice float64 // the signed area
	for i, a := range corners {
		if math.IsNaN(a.X + a.Y) {
			return
		}
		b := corners[(i+1)%len(corners)]
		twice += a.X*b.Y - b.X*a.Y
	}
	// All contours turn the same way, so that overlaps add up and never cut holes.
	if twice >= 0 {
		d.corners = append(d.corners, corners...)
	} else {
		for i := len(corners) - 1; i >= 0; i-- {
			d.corners = append(d.corners, corners[i])
		}
	}
	d.contours = append(d.contours, len(d.corners))
}

// Line gathers a line through points.
func (d *Drawing) Line(points []Point, width float64) {
	for i := 1; i < len(points); i++ {
		d.stroke(points[i-1], points[i], width)
	}
}

// stroke gathers a straight piece of a line. It reaches a little beyond its
// ends, so that pieces that meet at an angle leave no notch.
func (d *Drawing) stroke(a, b Point, width float64) {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if !(length > 0) {
		return
	}
	x, y := (b.X-a.X)/length*width/2, (b.Y-a.Y)/length*width/2
	const beyond = 0.35
	a, b = Point{a.X - x*beyond, a.Y - y*beyond}, Point{b.X + x*beyond, b.Y + y*beyond}
	d.Polygon(Point{a.X - y, a.Y + x}, Point{b.X - y, b.Y + x}, Point{b.X + y, b.Y - x}, Point{a.X + y, a.Y - x})
}

// Dashed gathers a line of dashes of length on with gaps of length off.
func (d *Drawing) Dashed(points []Point, width, on, off float64) {
	left, drawing := on, true
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		for at := 0.0; at < length; {
			to := min(length, at+left)
			if drawing {
				d.stroke(between(a, b, at/length), between(a, b, to/length), width)
			}
			left -= to - at
			at = to
			if left <= 1e-9 {
				drawing = !drawing
				left = on
				if !drawing {
					left = off
				}
			}
		}
	}
}

func between(a, b Point, part float64) Point {
	return Point{a.X + (b.X-a.X)*part, a.Y + (b.Y-a.Y)*part}
}

// Circle returns the points of a circle, the first one again at the end.
func Circle(centre Point, radius float64) []Point {
	n := max(12, int(radius*3)) // chords stay within a tenth of a pixel
	n = min(n, 720)
	points := make([]Point, n+1)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		points[i] = Point{centre.X + radius*cos, centre.Y + radius*sin}
	}
	return points
}

// Disc gathers a filled circle.
func (d *Drawing) Disc(centre Point, radius float64) {
	d.Polygon(Circle(centre, radius)[1:]...)
}

// Ring gathers a circle.
func (d *Drawing) Ring(centre Point, radius, width float64) {
	d.Line(Circle(centre, radius), width)
}

// Paint paints what was gathered since the last Paint.
func (d *Drawing) Paint(ink color.NRGBA) {
	area := d.span()
	if !area.Empty() {
		d.outline.Reset(area.Dx(), area.Dy())
		begin := 0
		for _, end := range d.contours {
			for i, corner := range d.corners[begin:end] {
				x, y := float32(corner.X-float64(area.Min.X)), float32(corner.Y-float64(area.Min.Y))
				if i == 0 {
					d.outline.MoveTo(x, y)
					continue
				}
				d.outline.LineTo(x, y)
			}
			d.outline.ClosePath()
			begin = end
		}
		d.outline.Draw(d.picture, area, image.NewUniform(ink), image.Point{})
	}
	d.corners, d.contours = d.corners[:0], d.contours[:0]
}

// span is the part of the picture in which what was gathered lies.
func (d *Drawing) span() image.Rectangle {
	if len(d.corners) == 0 {
		return image.Rectangle{}
	}
	least, most := d.corners[0], d.corners[0]
	for _, c := range d.corners {
		least = Point{min(least.X, c.X), min(least.Y, c.Y)}
		most = Point{max(most.X, c.X), max(most.Y, c.Y)}
	}
	bounds := d.picture.Bounds()
	whole := func(v float64, most int) int { return int(max(-1, min(v, float64(most)+1))) }
	return image.Rect(
		whole(math.Floor(least.X), bounds.Max.X), whole(math.Floor(least.Y), bounds.Max.Y),
		whole(math.Ceil(most.X), bounds.Max.X), whole(math.Ceil(most.Y), bounds.Max.Y),
	).Intersect(bounds)
}
