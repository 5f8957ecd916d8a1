package widget

import (
	"image"
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/software"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/view"
)

// lying is a content with one of each kind, and how often its picture was drawn.
func lying(drawn *int) (content *fyne.Container, right *Text, picture *canvas.Raster) {
	box := canvas.NewRectangle(Current().Setpoint)
	box.CornerRadius = Corner
	outside := canvas.NewText("Outside", Current().Text)
	outside.Alignment = fyne.TextAlignCenter
	right = NewText("27.5 V").Bold().Right().Tone(view.Attention)
	picture = NewRaster(func(w, h int) image.Image {
		*drawn++
		uniform := image.NewNRGBA(image.Rect(0, 0, w, h))
		for i := range uniform.Pix {
			uniform.Pix[i] = 0xC0
		}
		return uniform
	})
	content = container.NewWithoutLayout()
	put := func(object fyne.CanvasObject, x, y, w, h float32) {
		content.Add(object)
		object.Move(fyne.NewPos(x, y))
		object.Resize(fyne.NewSize(w, h))
	}
	put(NewGround(func(p *Palette) color.NRGBA { return p.Raised }, 6), 10, 8, 80, 30)
	put(box, 100, 8, 60, 30)
	put(NewText("Drive supply, which is cut").Elastic(), 4, 40, 60, 20)
	put(right, 70, 40, 90, 20)
	put(outside, 20, 62, 100, outside.MinSize().Height)
	put(picture, 130, 64, 20, 12)
	hidden := NewText("hidden")
	hidden.Hide()
	put(hidden, 0, 0, 60, 20)
	return content, right, picture
}

// What is merged looks as if the window library had drawn it, at every scale.
func TestMergedLooksAsDrawn(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(NewTheme(Dusk()))
	var drawn int
	content, _, _ := lying(&drawn)
	merged, _, _ := lying(&drawn)
	still := NewStill(merged)
	size := fyne.NewSize(170, 90)
	shot := func(object fyne.CanvasObject, scale float32) image.Image {
		c := software.NewCanvas()
		c.SetPadded(false)
		c.SetScale(scale)
		c.SetContent(object)
		c.Resize(size)
		return c.Capture()
	}
	for _, scale := range []float32{0.8, 1, 1.5, 2} {
		want, got := shot(content, scale), shot(still, scale)
		if want.Bounds() != got.Bounds() {
			t.Fatalf("scale %v: %v and %v", scale, want.Bounds(), got.Bounds())
		}
		// Where a unit is no whole number of pixels an edge may fall on the next one; a missing object would be more.
		allowed := 0.04
		if scale != float32(int(scale)) {
			allowed = 0.15
		}
		var wrong, inked int
		b := want.Bounds()
		background := want.At(b.Max.X-1, b.Max.Y-1)
		for y := range b.Dy() {
			for x := range b.Dx() {
				if want.At(x, y) != background {
					inked++
				}
				if far(want.At(x, y), got.At(x, y)) {
					wrong++
				}
			}
		}
		if inked < 1000*int(scale+0.5) || float64(wrong) > allowed*float64(inked) {
			t.Errorf("scale %v: %d of %d inked pixels are others", scale, wrong, inked)
		}
	}
}

// far says whether two colours are clearly others.
func far(a, b color.Color) bool {
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	apart := func(x, y uint32) bool { return max(x, y)-min(x, y) > 0x3000 }
	return apart(ar, br) || apart(ag, bg) || apart(ab, bb)
}

// A frame lies within its edge, as the graphics driver draws it: its inside shows what is beneath.
func TestMergedFrame(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(NewTheme(Dusk()))
	frame := canvas.NewRectangle(color.Transparent)
	frame.StrokeColor, frame.StrokeWidth, frame.CornerRadius = Current().Setpoint, 2, Corner
	frame.Resize(fyne.NewSize(60, 30))
	merged := NewMerged(3, frame)
	merged.Resize(fyne.NewSize(60, 30))
	picture := merged.paint(66, 36).(*image.RGBA)
	for at, inked := range map[image.Point]bool{
		{2, 18}: false, {3, 18}: true, {4, 18}: true, {5, 18}: false, {33, 18}: false, // from the left
		{33, 2}: false, {33, 3}: true, {33, 5}: false, {62, 18}: true, {63, 18}: false, {33, 32}: true, {33, 33}: false,
		{3, 3}: false, // a corner is cut off
	} {
		if got := picture.RGBAAt(at.X, at.Y).A != 0; got != inked {
			t.Errorf("at %v inked: %v, want %v", at, got, inked)
		}
	}
}

// Sizes are rounded to whole pixels: what is merged may then be a pixel larger than its picture, or far beyond it.
func TestMergedBeyondItsPicture(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(NewTheme(Dusk()))
	frame := canvas.NewRectangle(Current().Raised)
	frame.StrokeColor, frame.StrokeWidth, frame.CornerRadius = Current().Setpoint, 2, Corner
	for _, size := range []fyne.Size{{Width: 25, Height: 130}, {Width: 130, Height: 25}, {Width: 1.4, Height: 90}} {
		for percent := 80; percent <= 200; percent += 5 {
			scale := float32(percent) / 100
			w, h := int(size.Width*scale+0.5), int(size.Height*scale+0.5)
			for _, beyond := range []float32{-3, 0, 1, 400} {
				frame.Move(fyne.NewPos(-beyond, -beyond))
				frame.Resize(size.AddWidthHeight(2*beyond, 2*beyond))
				merged := NewMerged(0, frame, NewText("words"))
				merged.Resize(size)
				if got := merged.paint(w, h).Bounds(); got.Dx() != w || got.Dy() != h {
					t.Fatalf("%v by %v: %v", w, h, got)
				}
			}
		}
	}
	merged := NewMerged(0, frame, NewText("words"))
	for _, size := range []fyne.Size{{}, {Width: 10}, {Height: 10}, {Width: 10, Height: 10}} {
		merged.Resize(size)
		merged.paint(0, 0)
		merged.paint(0, 5)
		merged.paint(5, 0)
	}
}

// A picture is painted again when it is told to and when the size or the palette is another, and not otherwise; of what
// is in it only what has changed.
func TestMergedIsPaintedWhenToldTo(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(NewTheme(Dusk()))
	var drawn int
	content, right, picture := lying(&drawn)
	still := NewStill(content)
	w := test.NewTempWindow(t, still)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(200, 120))
	paint := func() *image.RGBA { return still.merged.paint(200, 120).(*image.RGBA) }
	first, kept := paint(), still.merged.words[right].picture
	if drawn == 0 || paint() != first {
		t.Fatal("a picture that nothing has changed is painted again")
	}
	before := drawn
	right.Set("27.6 V", view.Attention)
	second := paint()
	if second == first || still.merged.words[right].picture == kept || drawn != before {
		t.Errorf("after another figure: painted anew %v, its words %v, the picture within drawn %d times more",
			second != first, still.merged.words[right].picture != kept, drawn-before)
	}
	still.Redraw(picture)
	if paint(); drawn != before+1 {
		t.Errorf("a forgotten picture is drawn %d times more", drawn-before)
	}
	colour := second.RGBAAt(50, 30)
	app.Settings().SetTheme(NewTheme(Day()))
	still.Refresh()
	if third := paint(); third.RGBAAt(50, 30) == colour {
		t.Error("in another palette nothing is painted anew")
	}
	mode := func() canvas.ImageScale { return still.merged.Picture.ScaleMode }
	if mode() != canvas.ImageScalePixels {
		t.Error("at a whole scale pixels are smoothed")
	}
	if still.merged.paint(300, 180); mode() != canvas.ImageScaleSmooth {
		t.Error("at one and a half pixels a unit nothing is smoothed")
	}
	if other := still.merged.paint(400, 240).(*image.RGBA); other.Rect.Dx() != 400 {
		t.Errorf("a larger picture is %v", other.Rect)
	}
}
