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

// Again returns d to be drawn again, or another drawing where d is nil or its picture has another size: what is drawn
// often needs no new picture each time. What is in the picture stays.
func (d *Drawing) Again(w, h int) *Drawing {
	if d == nil || d.picture.Bounds().Dx() != max(w, 0) || d.picture.Bounds().Dy() != max(h, 0) {
		return New(w, h)
	}
	return d
}

// Copy takes over the whole of a picture of the same size.
func (d *Drawing) Copy(from *image.RGBA) { copy(d.picture.Pix, from.Pix) }

// Picture returns the picture.
func (d *Drawing) Picture() *image.RGBA { return d.picture }

// Clear empties the picture, so that it can be drawn again without a new one.
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

// Line gathers a line through points. Its pieces meet at a common edge, so that
// it is as wide and as smooth at its bends as elsewhere; sharp bends are left blunt.
func (d *Drawing) Line(points []Point, width float64) {
	last := len(points) - 1
	closed := last > 2 && points[0] == points[last]
	for i := 1; i <= last; i++ {
		a, b := points[i-1], points[i]
		own, ok := across(a, b, width/2)
		if !ok {
			continue
		}
		from, to := own, own
		switch {
		case i > 1:
			from = joint(points[i-2], a, own, width/2)
		case closed:
			from = joint(points[last-1], a, own, width/2)
		}
		switch {
		case i < last:
			to = jointAhead(own, b, points[i+1], width/2)
		case closed:
			to = jointAhead(own, b, points[1], width/2)
		}
		d.Polygon(Point{a.X + from.X, a.Y + from.Y}, Point{b.X + to.X, b.Y + to.Y},
			Point{b.X - to.X, b.Y - to.Y}, Point{a.X - from.X, a.Y - from.Y})
	}
}

// across returns the way from the middle of a line to its edge; ok is false for one of no length.
func across(a, b Point, half float64) (way Point, ok bool) {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if !(length > 0) {
		return Point{}, false
	}
	return Point{-(b.Y - a.Y) / length * half, (b.X - a.X) / length * half}, true
}

// joint returns the common edge of two pieces of a line: own is that of the
// second alone, before the point at which the first begins.
func joint(before, at, own Point, half float64) Point {
	other, ok := across(before, at, half)
	if !ok {
		return own
	}
	return mitre(other, own, half)
}

// jointAhead is joint for the end of a piece.
func jointAhead(own, at, after Point, half float64) Point {
	other, ok := across(at, after, half)
	if !ok {
		return own
	}
	joined := mitre(own, other, half)
	if joined == other { // blunt
		return own
	}
	return joined
}

// mitre returns the edge between two pieces with the given edges, or the second edge where the bend is sharp.
func mitre(first, second Point, half float64) Point {
	cos := (first.X*second.X + first.Y*second.Y) / (half * half)
	if cos < 0 {
		return second
	}
	return Point{(first.X + second.X) / (1 + cos), (first.Y + second.Y) / (1 + cos)}
}

// Dashed gathers a line of dashes of length on with gaps of length off.
func (d *Drawing) Dashed(points []Point, width, on, off float64) {
	left, drawing := on, true
	var dash []Point
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if drawing && len(dash) == 0 {
			dash = append(dash, a)
		}
		for at := 0.0; at < length; {
			step := min(length-at, left)
			at, left = at+step, left-step
			if drawing {
				dash = append(dash, between(a, b, at/length))
			}
			if left > 1e-9 {
				continue
			}
			if drawing {
				d.Line(dash, width)
			}
			dash, drawing, left = dash[:0], !drawing, off
			if drawing {
				dash, left = append(dash, between(a, b, at/length)), on
			}
		}
	}
	if drawing {
		d.Line(dash, width)
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
	minimum, maximum := d.corners[0], d.corners[0]
	for _, c := range d.corners {
		minimum = Point{min(minimum.X, c.X), min(minimum.Y, c.Y)}
		maximum = Point{max(maximum.X, c.X), max(maximum.Y, c.Y)}
	}
	bounds := d.picture.Bounds()
	whole := func(v float64, maximum int) int { return int(max(-1, min(v, float64(maximum)+1))) }
	return image.Rect(
		whole(math.Floor(minimum.X), bounds.Max.X), whole(math.Floor(minimum.Y), bounds.Max.Y),
		whole(math.Ceil(maximum.X), bounds.Max.X), whole(math.Ceil(maximum.Y), bounds.Max.Y),
	).Intersect(bounds)
}
