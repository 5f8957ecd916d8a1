package sky

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"image/color"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// bubble tells what a click would do, beside the place of the click.
type bubble struct {
	ground *canvas.Rectangle
	lines  [3]*canvas.Text
	ready  bool
}

// bubbleInset is the room around the words, lineHeight that of a line of them.
const (
	bubbleInset = 7
	lineHeight  = 16
)

func newBubble() *bubble {
	b := &bubble{ground: canvas.NewRectangle(color.Transparent)}
	b.ground.CornerRadius, b.ground.StrokeWidth = widget.Corner, 1.5
	for i := range b.lines {
		b.lines[i] = canvas.NewText("", color.Transparent)
		b.lines[i].TextSize = widget.SmallText
	}
	b.lines[0].TextStyle.Bold = true
	b.hide()
	return b
}

func (b *bubble) objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{b.ground, b.lines[0], b.lines[1], b.lines[2]}
}

func (b *bubble) hide() {
	for _, object := range b.objects() {
		setVisible(object, false)
	}
}

// show puts the words beside a place, within the plot and clear of the mark.
func (b *bubble) show(offer view.Offer, at fyne.Position, room fyne.Size) {
	var width float32
	changed := b.ready != offer.Ready || !b.ground.Visible()
	b.ready = offer.Ready
	for i, words := range []string{offer.Head, offer.Under, offer.Next} {
		line := b.lines[i]
		if line.Text != words {
			line.Text = words
			changed = true
		}
		width = max(width, fyne.MeasureText(words, line.TextSize, line.TextStyle).Width)
	}
	size := fyne.NewSize(float32(int(width+2*bubbleInset+1)), 3*lineHeight+2*bubbleInset-4)
	const clear = 18
	place := fyne.NewPos(at.X+clear, at.Y-size.Height/2)
	if place.X+size.Width > room.Width-2 {
		place.X = at.X - clear - size.Width
	}
	place.X = max(2, min(place.X, room.Width-2-size.Width))
	place.Y = float32(int(max(2, min(place.Y, room.Height-2-size.Height))))
	b.ground.Move(place)
	b.ground.Resize(size)
	for i, line := range b.lines {
		line.Move(fyne.NewPos(place.X+bubbleInset, place.Y+bubbleInset-2+float32(i)*lineHeight))
	}
	if changed {
		b.tint()
		for _, object := range b.objects() {
			setVisible(object, true)
			object.Refresh()
		}
	}
}

func (b *bubble) tint() {
	p := widget.Current()
	b.ground.FillColor, b.ground.StrokeColor = p.Pane, p.Mark
	b.lines[0].Color, b.lines[1].Color, b.lines[2].Color = p.Text, p.Dim, p.Dim
	if b.ready {
		b.ground.StrokeColor, b.lines[2].Color = p.Setpoint, p.Setpoint
	}
}
