package chart

import (
	"image"
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

var white = color.NRGBA{0xff, 0xff, 0xff, 0xff}

// covered returns how many pixels a drawing covers, those at edges in part.
func covered(d *Drawing) float64 {
	sum := 0.0
	for i := 3; i < len(d.picture.Pix); i += 4 {
		sum += float64(d.picture.Pix[i]) / 255
	}
	return sum
}

func TestAreas(t *testing.T) {
	centre := Point{50.3, 49.8}
	rows := []struct {
		name      string
		draw      func(d *Drawing)
		want      float64
		tolerance float64
	}{
		{"a disc: pi r squared", func(d *Drawing) { d.Disc(centre, 20) }, math.Pi * 400, 6},
		{"a ring: its length times its width", func(d *Drawing) { d.Ring(centre, 30, 2) }, 2 * math.Pi * 30 * 2, 6},
		{"a slanting line", func(d *Drawing) { d.Line([]Point{{10, 10}, {70, 90}}, 3) }, 100 * 3, 5},
		{"a polygon", func(d *Drawing) { d.Polygon(Point{10, 10}, Point{50, 10}, Point{50, 40}) }, 600, 1},
		{"the same the other way round", func(d *Drawing) { d.Polygon(Point{50, 40}, Point{50, 10}, Point{10, 10}) },
			600, 1},
		{"overlaps cut no holes", func(d *Drawing) {
			d.Polygon(Point{10, 10}, Point{30, 10}, Point{30, 30}, Point{10, 30})
			d.Polygon(Point{20, 30}, Point{40, 30}, Point{40, 10}, Point{20, 10})
		}, 600, 1},
		{"dashes: on is three fifths", func(d *Drawing) { d.Dashed([]Point{{0, 50}, {60, 50}, {100, 50}}, 2, 6, 4) },
			100 * 0.6 * 2, 14},
		{"what has no place is left out", func(d *Drawing) {
			d.Polygon(Point{math.NaN(), 0}, Point{1, 1},
				Point{5, 0})
		}, 0, 0},
		{"a line of no length", func(d *Drawing) { d.Line([]Point{{5, 5}, {5, 5}}, 3) }, 0, 0},
		{"half beyond the edge", func(d *Drawing) { d.Disc(Point{0, 50}, 20) }, math.Pi * 200, 4},
		{"beyond the edge", func(d *Drawing) { d.Disc(Point{-50, 50}, 20); d.Disc(Point{50, 1e7}, 20) }, 0, 0},
		{"much larger than the picture", func(d *Drawing) { d.Disc(centre, 1e5) }, 1e4, 1},
	}
	for _, row := range rows {
		d := New(100, 100)
		row.draw(d)
		d.Paint(white)
		if got := covered(d); math.Abs(got-row.want) > row.tolerance {
			t.Errorf("%s: %.1f pixels, want %.1f", row.name, got, row.want)
		}
		if d.Paint(white); len(d.corners) != 0 {
			t.Errorf("%s: shapes are left over", row.name)
		}
	}
}

func TestHairlines(t *testing.T) {
	for _, at := range []float64{10, 10.3, 10.5, 10.9} {
		d := New(40, 40)
		d.Across(0, 40, at, 1, white)
		d.Down(at, 0, 40, 1, white)
		if got := covered(d); got != 79 {
			t.Errorf("at %v they cover %v pixels, want two whole lines", at, got)
		}
	}
}

// Patterns of neighbouring areas meet: the parts make the whole.
func TestPatternsMeet(t *testing.T) {
	patterns := map[string]func(d *Drawing, area image.Rectangle){
		"hatch": func(d *Drawing, area image.Rectangle) { d.Hatch(area, 6, 1.3, white) },
		"dots":  func(d *Drawing, area image.Rectangle) { d.Dots(area, 7, 0.9, white) },
	}
	for name, pattern := range patterns {
		whole, parts := New(60, 40), New(60, 40)
		pattern(whole, image.Rect(0, 0, 60, 40))
		for _, area := range []image.Rectangle{image.Rect(0, 0, 25, 40), image.Rect(25, 0, 60, 17),
			image.Rect(25, 17, 90, 90)} {
			pattern(parts, area)
		}
		if string(whole.picture.Pix) != string(parts.picture.Pix) {
			t.Errorf("%s: the parts don't meet", name)
		}
		if share := covered(whole) / 2400; share < 0.02 || share > 0.5 {
			t.Errorf("%s covers %.2f of the area", name, share)
		}
	}
}

func TestFadedInk(t *testing.T) {
	d := New(10, 10)
	d.FillAll(color.NRGBA{0, 0, 0, 0xff})
	d.Hatch(image.Rect(0, 0, 10, 10), 1, 9, color.NRGBA{200, 100, 50, 0x80})
	if got := d.picture.RGBAAt(5, 5); got != (color.RGBA{100, 50, 25, 255}) {
		t.Errorf("half of a colour over black is %v", got)
	}
}

func TestKept(t *testing.T) {
	var kept Kept[int]
	drawn := 0
	draw := func(*Drawing) { drawn++ }
	for _, row := range []struct{ key, w, h, want int }{{1, 10, 10, 1}, {1, 10, 10, 1}, {2, 10, 10, 2}, {2, 11, 10, 3},
		{2, 11, 12, 4}, {2, 11, 12, 4}} {
		picture := kept.Of(row.key, row.w, row.h, draw)
		if drawn != row.want || picture.Bounds().Dx() != row.w || picture.Bounds().Dy() != row.h {
			t.Errorf("%+v: drawn %d times, %v", row, drawn, picture.Bounds())
		}
	}
}

func TestSnap(t *testing.T) {
	test.NewTempApp(t)
	object := canvas.NewRectangle(nil)
	w := test.NewTempWindow(t, object)
	for _, row := range []struct {
		scale      float32
		x, y       float64
		atX, atY   float32
		everyPixel float32
	}{{1, 10.4, 10.5, 10, 11, 1}, {2, 10.4, -0.6, 10.5, -0.5, 0.5}, {1, -0.5, -1.6, 0, -2, 1}} {
		w.Canvas().(test.WindowlessCanvas).SetScale(row.scale)
		if got := Snap(object, row.x, row.y); got != fyne.NewPos(row.atX, row.atY) {
			t.Errorf("scale %v: %v, %v snaps to %v", row.scale, row.x, row.y, got)
		}
	}
}

func TestShapes(t *testing.T) {
	d := New(160, 120)
	d.FillAll(color.NRGBA{0x10, 0x12, 0x14, 0xff})
	d.Hatch(image.Rect(0, 0, 40, 120), 6, 1.3, color.NRGBA{0x60, 0x70, 0x80, 0xff})
	d.Dots(image.Rect(120, 60, 160, 120), 8, 0.9, white)
	d.Disc(Point{80, 50}, 18)
	d.Paint(color.NRGBA{0xe0, 0xd8, 0xb4, 0xff})
	d.Dashed(Circle(Point{84, 54}, 30), 1.5, 6, 4)
	d.Line([]Point{{45, 110}, {70, 90}, {95, 112}, {115, 70}}, 2)
	d.Line(Diamond(Point{140, 30}, 8), 1.5)
	d.Paint(white)
	d.Across(40, 160, 60, 1, color.NRGBA{0x60, 0x70, 0x80, 0xff})
	test.AssertImageMatches(t, "shapes.png", d.Picture())
}

func BenchmarkManyDashes(b *testing.B) {
	d := New(900, 370)
	var line []Point
	for x := 0.0; x < 900; x += 4 {
		line = append(line, Point{x, 180 + 150*math.Sin(x/100)})
	}
	for b.Loop() {
		d.Dashed(line, 1.5, 6, 4)
		d.Paint(white)
	}
}
