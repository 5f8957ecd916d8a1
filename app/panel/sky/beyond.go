package sky

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// beyond is an arrow at the edge of a magnified plot, with the name of what lies outside in its direction.
type beyond struct {
	arrow *canvas.Raster
	text  *canvas.Text
	plate *canvas.Rectangle
	ink   func(*widget.Palette) color.NRGBA
	turn  int           // the direction, in steps clockwise from upwards
	at    fyne.Position // the arrow's middle
}

// The arrow: its side and how far its middle lies from the edges, in units, and in how many directions it points.
const (
	beyondSide  = 17
	beyondInset = 12
	beyondTurns = 24
)

func newBeyond(words string, ink func(*widget.Palette) color.NRGBA) *beyond {
	b := &beyond{ink: ink, text: canvas.NewText(words, color.Transparent),
		plate: canvas.NewRectangle(color.Transparent)}
	b.text.TextSize = widget.SmallText
	b.arrow = chart.NewMark(beyondSide, b.draw)
	for _, object := range b.objects() {
		object.Hide()
	}
	b.tint()
	return b
}

func (b *beyond) objects() []fyne.CanvasObject { return []fyne.CanvasObject{b.plate, b.text, b.arrow} }

func (b *beyond) tint() {
	b.text.Color, b.plate.FillColor = b.ink(widget.Current()), plateInk()
}

func (b *beyond) draw(d *chart.Drawing, w, h, unit float64) {
	sin, cos := math.Sincos(2 * math.Pi * float64(b.turn) / beyondTurns)
	corner := func(along, beside float64) chart.Point {
		return chart.Point{X: w/2 + (along*sin+beside*cos)*unit, Y: h/2 + (beside*sin-along*cos)*unit}
	}
	// Notched: a plain triangle looks as if it pointed from each of its corners.
	d.Polygon(corner(8, 0), corner(-7, 6), corner(-3, 0), corner(-7, -6))
	d.Paint(b.ink(widget.Current()))
}

// show points from the edge of the plot to a place outside of it; taken is where words lie already.
func (b *beyond) show(visible bool, to fyne.Position, room fyne.Size, taken ...box) {
	for _, object := range b.objects() {
		setVisible(object, visible)
	}
	if !visible {
		return
	}
	at := fyne.NewPos(min(max(to.X, beyondInset), room.Width-beyondInset),
		min(max(to.Y, beyondInset), room.Height-beyondInset))
	turn := int(math.Round(math.Atan2(float64(to.X-at.X), float64(at.Y-to.Y)) / (2 * math.Pi) * beyondTurns))
	size := fyne.MeasureText(b.text.Text, b.text.TextSize, b.text.TextStyle)
	for _, other := range taken {
		b.put(at, size, room)
		if b.box().meets(other) {
			at.Y = other.y1 + beyondSide/2 + 1
			if at.Y > room.Height-beyondInset {
				at.Y = other.y0 - beyondSide/2 - 1
			}
		}
	}
	b.put(at, size, room)
	if turn != b.turn {
		b.turn = turn
		widget.Redraw(b.arrow)
	}
}

// put places the arrow, and the words beside it towards the middle.
func (b *beyond) put(at fyne.Position, size, room fyne.Size) {
	b.at = at
	b.arrow.Move(at.SubtractXY(beyondSide/2, beyondSide/2))
	x := at.X + beyondInset
	if at.X > room.Width/2 {
		x = at.X - beyondInset - size.Width
	}
	place := fyne.NewPos(float32(int(x)), float32(int(at.Y-size.Height/2)))
	b.text.Move(place)
	b.plate.Move(place.SubtractXY(2, 0))
	b.plate.Resize(size.AddWidthHeight(4, 0))
}

// box is the part of the plot that arrow and words take, nothing while they are hidden.
func (b *beyond) box() box {
	if !b.arrow.Visible() {
		return box{}
	}
	at, size := b.plate.Position(), b.plate.Size()
	return box{min(at.X, b.at.X-beyondSide/2), b.at.Y - beyondSide/2, max(at.X+size.Width, b.at.X+beyondSide/2),
		b.at.Y + beyondSide/2}
}

// boxOf is the part of the plot that an object takes, nothing while it is hidden.
func boxOf(o fyne.CanvasObject) box {
	if !o.Visible() {
		return box{}
	}
	at, size := o.Position(), o.Size()
	return box{at.X, at.Y, at.X + size.Width, at.Y + size.Height}
}
