package panel

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"golang.org/x/image/vector"

	"beamhelm/app/panel/widget"
)

// stopButton ends every motion. It is outlined while nothing can move and filled
// when something can. It acts when it is pressed, not when it is let go, and it
// is never disabled.
type stopButton struct {
	widget.Control
	live bool
	act  func()
}

func newStopButton(act func()) *stopButton {
	b := &stopButton{act: act}
	b.Become(b, "stop", "Ends every motion (Esc)")
	return b
}

// ControlWords returns the words shown.
func (b *stopButton) ControlWords() string { return "STOP" }

// On says whether something can move.
func (b *stopButton) On() bool { return b.live }

func (b *stopButton) set(live bool) {
	if b.live != live {
		b.live = live
		b.Refresh()
	}
}

// MouseDown implements desktop.Mouseable: the stop doesn't wait for the button to be let go.
func (b *stopButton) MouseDown(*desktop.MouseEvent) {
	b.act()
	b.ToolTipWidget.MouseOut() // the tip would lie over what becomes of the stop
}

// MouseUp implements desktop.Mouseable.
func (b *stopButton) MouseUp(*desktop.MouseEvent) {}

// Cursor implements desktop.Cursorable.
func (b *stopButton) Cursor() desktop.Cursor { return desktop.PointerCursor }

// TypedKey implements fyne.Focusable.
func (b *stopButton) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		b.act() // however the key came here
	default:
		b.Forward(event)
	}
}

// CreateRenderer implements fyne.Widget.
func (b *stopButton) CreateRenderer() fyne.WidgetRenderer {
	r := &stopRenderer{
		button: b,
		ring:   canvas.NewRectangle(color.Transparent),
		body:   canvas.NewRectangle(color.Transparent),
		words:  canvas.NewText("STOP", color.Transparent),
		key:    canvas.NewText("Esc", color.Transparent),
	}
	r.sign = widget.NewRaster(func(w, h int) image.Image { return octagon(w, h, r.ink) })
	r.merged = widget.NewMerged(0, r.ring, r.body, r.sign, r.words, r.key)
	r.update()
	return r
}

type stopRenderer struct {
	button     *stopButton
	ring, body *canvas.Rectangle
	words, key *canvas.Text
	sign       *canvas.Raster
	ink        color.NRGBA
	merged     *widget.Merged
}

func (r *stopRenderer) update() {
	p, b := widget.Current(), r.button
	r.body.CornerRadius, r.ring.CornerRadius = 7, 9
	r.body.FillColor, r.body.StrokeColor, r.body.StrokeWidth, r.ink = color.Transparent, p.StopLine, 2.5, p.StopLine
	if b.live {
		r.body.FillColor, r.body.StrokeColor, r.ink = p.Stop, p.Stop, p.OnStop
	}
	r.ring.StrokeWidth, r.ring.StrokeColor = 0, color.Transparent
	if b.Focused() || b.Hovered() {
		r.ring.StrokeWidth, r.ring.StrokeColor = 2, p.Focus
	}
	r.words.Color, r.words.TextSize, r.words.TextStyle = r.ink, 20, fyne.TextStyle{Bold: true}
	r.key.Color, r.key.TextSize = r.ink, widget.SmallText
}

func (r *stopRenderer) Layout(size fyne.Size) {
	r.ring.Resize(size)
	r.body.Resize(fyne.NewSize(size.Width-6, size.Height-6))
	r.body.Move(fyne.NewPos(3, 3))
	const side, gap = 18, 9
	words, key := r.words.MinSize(), r.key.MinSize()
	x := (size.Width - side - gap - words.Width - gap - key.Width) / 2
	middle := func(height float32) float32 { return float32(int((size.Height - height) / 2)) }
	r.sign.Resize(fyne.NewSize(side, side))
	r.sign.Move(fyne.NewPos(float32(int(x)), middle(side)))
	r.words.Move(fyne.NewPos(float32(int(x+side+gap)), middle(words.Height)))
	r.key.Move(fyne.NewPos(float32(int(x+side+2*gap+words.Width)), middle(key.Height)+2))
	r.words.Resize(words)
	r.key.Resize(key)
	r.merged.Resize(size)
}

func (r *stopRenderer) MinSize() fyne.Size { return fyne.NewSize(206, 46) }

func (r *stopRenderer) Refresh() {
	r.update()
	r.merged.Redraw(r.sign)
}

func (r *stopRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.merged.Picture}
}
func (r *stopRenderer) Destroy() {}

// octagon returns a filled regular octagon standing on a side.
func octagon(w, h int, ink color.NRGBA) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, w, h))
	outline := vector.NewRasterizer(w, h)
	for i := range 8 {
		angle := math.Pi/8 + float64(i)*math.Pi/4
		x := float32(w)/2 + float32(w)/2*float32(math.Cos(angle))
		y := float32(h)/2 + float32(h)/2*float32(math.Sin(angle))
		if i == 0 {
			outline.MoveTo(x, y)
			continue
		}
		outline.LineTo(x, y)
	}
	outline.ClosePath()
	outline.Draw(picture, picture.Bounds(), image.NewUniform(ink), image.Point{})
	return picture
}
