package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Ground is a rectangle that follows the palette.
type Ground struct {
	widget.BaseWidget
	colour func(*Palette) color.NRGBA
	corner float32
}

// NewGround returns a rectangle in a colour of the palette with rounded corners.
func NewGround(colour func(*Palette) color.NRGBA, corner float32) *Ground {
	g := &Ground{colour: colour, corner: corner}
	g.ExtendBaseWidget(g)
	return g
}

// CreateRenderer implements fyne.Widget.
func (g *Ground) CreateRenderer() fyne.WidgetRenderer {
	rectangle := canvas.NewRectangle(Seen(g.colour(Current())))
	rectangle.CornerRadius = g.corner
	return &groundRenderer{WidgetRenderer: widget.NewSimpleRenderer(rectangle), ground: g, rectangle: rectangle}
}

type groundRenderer struct {
	fyne.WidgetRenderer
	ground    *Ground
	rectangle *canvas.Rectangle
}

func (r *groundRenderer) Refresh() {
	r.rectangle.FillColor = Seen(r.ground.colour(Current()))
	r.rectangle.Refresh()
}

// NewCard returns a pane's content inset by the usual amount. A pane has no ground of its own, see Seamed.
func NewCard(content fyne.CanvasObject) *fyne.Container { return Padded(content, Inset, 8) }

// Padded returns content inset by across at the sides and down above and below.
func Padded(content fyne.CanvasObject, across, down float32) *fyne.Container {
	return container.New(padding{across, down}, content)
}

type padding struct{ across, down float32 }

func (p padding) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, object := range objects {
		object.Move(fyne.NewPos(p.across, p.down))
		object.Resize(fyne.NewSize(size.Width-2*p.across, size.Height-2*p.down))
	}
}

func (p padding) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var minimum fyne.Size
	for _, object := range objects {
		minimum = minimum.Max(object.MinSize())
	}
	return minimum.Add(fyne.NewSize(2*p.across, 2*p.down))
}
