// Package camera shows the pictures of the operator's camera: small beside the
// sky, and large in the right-hand pane. A picture that is older than it should
// be is veiled and says so: it is never taken for one of now.
package camera

import (
	"fmt"
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"

	pictures "beamhelm/app/camera"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Source is where the pictures come from.
type Source interface {
	Newest() *pictures.Picture
	Trouble() string
}

// Frame shows the newest picture with its age.
type Frame struct {
	source Source
	image  *canvas.Image
	veil   *widget.Ground
	age    *widget.Text
	why    *widget.Text
	object fyne.CanvasObject

	shown   *pictures.Picture
	stalled bool
}

// NewFrame returns a frame; its texts have the name, and more than the age only where it is large.
func NewFrame(source Source, name string, minimum fyne.Size, large bool) *Frame {
	f := &Frame{source: source, age: widget.NewLabel("").Elastic().Named(name + "-age"),
		why: widget.NewLabel("").Elastic()}
	f.image = &canvas.Image{FillMode: canvas.ImageFillContain, ScaleMode: canvas.ImageScaleFastest}
	f.image.SetMinSize(minimum)
	f.veil = widget.NewGround(func(p *widget.Palette) color.NRGBA {
		c := p.Well
		c.A = 0xB0
		return c
	}, 4)
	ground := widget.NewGround(func(p *widget.Palette) color.NRGBA { return p.Well }, 4)
	parts := []widget.Part{widget.Sharing(container.NewStack(ground, f.image, f.veil)), widget.Fixed(f.age)}
	if large {
		parts = append(parts, widget.Fixed(f.why))
	}
	f.object = widget.Column(2, parts...)
	f.veil.Show()
	f.stalled = true
	return f
}

// Show brings the frame up to date at a moment of the computer's own clock.
func (f *Frame) Show(now time.Time) {
	p := f.source.Newest()
	if p != f.shown {
		f.shown = p
		f.image.Image = p.Image
		widget.Redraw(f.image)
	}
	stalled := p.Stalled(now)
	if stalled != f.stalled {
		f.stalled = stalled
		if stalled {
			f.veil.Show()
		} else {
			f.veil.Hide()
		}
	}
	words, tone := ageWords(p, stalled, now)
	f.age.Set(words, tone)
	f.why.Set(f.source.Trouble(), view.Faint)
}

// ageWords says how old a picture is.
func ageWords(p *pictures.Picture, stalled bool, now time.Time) (string, view.Tone) {
	if p == nil {
		return "Camera: no picture", view.Attention
	}
	age := max(0, now.Sub(p.At))
	words := fmt.Sprintf("%d s old", int(age.Seconds()))
	if age >= 2*time.Minute {
		words = fmt.Sprintf("%d min old", int(age.Minutes()))
	}
	if stalled {
		return "▲ stale: " + words, view.Attention
	}
	return "Camera, " + words, view.Faint
}

// Pane is the camera, in the right-hand pane or small beside the sky.
type Pane struct {
	frame  *Frame
	object fyne.CanvasObject
}

// New returns the pane.
func New(source Source) *Pane {
	f := NewFrame(source, "camera-large", fyne.NewSize(300, 200), true)
	return &Pane{f, f.object}
}

// NewSmall returns the frame beside the sky, which opens the pane.
func NewSmall(source Source, open func()) *Pane {
	f := NewFrame(source, "camera-small", fyne.NewSize(132, 90), false)
	return &Pane{f, newTap(f.object, open)}
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Camera" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane. Pictures are of the computer's own time, also
// where the sky's is another, in practice.
func (p *Pane) Show(now view.Now) {
	if now.Tick%2 == 0 {
		p.frame.Show(time.Now())
	}
}

// tap is what makes the small frame a control.
type tap struct {
	widget.Control
	content fyne.CanvasObject
	act     func()
}

func newTap(content fyne.CanvasObject, act func()) *tap {
	t := &tap{content: content, act: act}
	t.Become(t, "camera-small", "The camera at the dish: a click shows it large")
	return t
}

// CreateRenderer implements fyne.Widget.
func (t *tap) CreateRenderer() fyne.WidgetRenderer { return fynewidget.NewSimpleRenderer(t.content) }

// Tapped implements fyne.Tappable.
func (t *tap) Tapped(*fyne.PointEvent) { t.act() }

// TypedKey implements fyne.Focusable.
func (t *tap) TypedKey(event *fyne.KeyEvent) { t.Press(event, t.act) }
