package widget

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"golang.org/x/image/vector"
)

// Heading is where an arrow points.
type Heading uint8

// Headings of an arrow as the beam view shows them: up is to higher elevation.
const (
	Upwards Heading = iota
	Downwards
	Leftwards
	Rightwards
)

// Across returns -1 for left, +1 for right, else 0; Up likewise for down and up.
func (h Heading) Across() float64 {
	switch h {
	case Leftwards:
		return -1
	case Rightwards:
		return 1
	}
	return 0
}

// Up returns +1 for up, -1 for down, else 0.
func (h Heading) Up() float64 {
	switch h {
	case Upwards:
		return 1
	case Downwards:
		return -1
	}
	return 0
}

// Arrow is a button of the nudge pad: a tap is one step, a press that lasts
// goes on until it ends. Losing the focus ends it too.
type Arrow struct {
	Press
	heading Heading
}

// NewArrow returns an arrow that calls tap at a short press and renew while a long one lasts.
func NewArrow(heading Heading, name, tip string, tap, renew func()) *Arrow {
	a := &Arrow{heading: heading}
	a.Hold = Hold{Tap: tap, Renew: renew}
	a.Become(a, name, tip)
	return a
}

func pressesControl(event *fyne.KeyEvent) bool {
	return event.Name == fyne.KeySpace || event.Name == fyne.KeyReturn || event.Name == fyne.KeyEnter
}

// CreateRenderer implements fyne.Widget.
func (a *Arrow) CreateRenderer() fyne.WidgetRenderer {
	r := &arrowRenderer{
		arrow: a,
		ring:  canvas.NewRectangle(color.Transparent),
		body:  canvas.NewRectangle(color.Transparent),
	}
	r.mark = NewRaster(func(w, h int) image.Image {
		return triangle(w, h, a.heading, r.ink)
	})
	r.merged = NewMerged(ringWidth, r.ring, r.body, r.mark)
	r.update()
	return r
}

type arrowRenderer struct {
	arrow      *Arrow
	ring, body *canvas.Rectangle
	mark       *canvas.Raster
	merged     *Merged
	ink        color.NRGBA
}

func (r *arrowRenderer) update() {
	a, p := r.arrow, Current()
	r.body.CornerRadius, r.ring.CornerRadius = Corner, Corner+2
	r.body.FillColor, r.ink = p.Raised, p.Text
	switch {
	case a.Disabled():
		r.body.FillColor, r.ink = Fade(p.Raised, 0.4), p.Old
	case a.Pressed():
		r.body.FillColor, r.ink = p.Setpoint, p.OnSetpoint
	case a.Hovered():
		r.body.FillColor = p.Line
	}
	r.ring.StrokeColor, r.ring.StrokeWidth = color.Transparent, 0
	if a.Focused() {
		r.ring.StrokeColor, r.ring.StrokeWidth = p.Focus, ringWidth
	}
}

func (r *arrowRenderer) Layout(size fyne.Size) {
	r.ring.Resize(size.AddWidthHeight(2*ringWidth, 2*ringWidth))
	r.ring.Move(fyne.NewPos(-ringWidth, -ringWidth))
	r.body.Resize(size)
	const side = 14
	r.mark.Resize(fyne.NewSize(side, side))
	r.mark.Move(fyne.NewPos(float32(int((size.Width-side)/2)), float32(int((size.Height-side)/2))))
	r.merged.Resize(size)
}

// MinSize is long along the edge of the beam view that the arrow stands at, thin across it.
func (r *arrowRenderer) MinSize() fyne.Size {
	if r.arrow.heading.Up() != 0 {
		return fyne.NewSize(60, 20)
	}
	return fyne.NewSize(20, 60)
}

func (r *arrowRenderer) Refresh() {
	r.update()
	r.merged.Redraw(r.mark)
}

func (r *arrowRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.merged.Picture}
}
func (r *arrowRenderer) Destroy() {}

// triangle returns a smooth triangle that fills most of w by h pixels.
func triangle(w, h int, heading Heading, ink color.NRGBA) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, w, h))
	outline := vector.NewRasterizer(w, h)
	cx, cy, half := float32(w)/2, float32(h)/2, float32(min(w, h))*0.42
	ux, uy := float32(heading.Across()), -float32(heading.Up())
	outline.MoveTo(cx+ux*half*0.8, cy+uy*half*0.8)
	outline.LineTo(cx-ux*half*0.7-uy*half, cy-uy*half*0.7+ux*half)
	outline.LineTo(cx-ux*half*0.7+uy*half, cy-uy*half*0.7-ux*half)
	outline.ClosePath()
	outline.Draw(picture, picture.Bounds(), image.NewUniform(ink), image.Point{})
	return picture
}
