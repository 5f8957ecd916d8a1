package sky

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"image/color"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// reading tells in a corner of the plot what is under the pointer.
type reading struct {
	ground  *canvas.Rectangle
	text    *canvas.Text
	pointer fyne.Position
	over    bool // the pointer is over the plot
}

func newReading() *reading {
	r := &reading{ground: canvas.NewRectangle(color.Transparent), text: canvas.NewText("", color.Transparent)}
	r.ground.CornerRadius, r.text.TextSize = widget.Corner, widget.SmallText
	r.tint()
	r.ground.Hide()
	r.text.Hide()
	return r
}

func (r *reading) objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.ground, r.text} }

func (r *reading) tint() {
	p := widget.Current()
	r.ground.FillColor, r.text.Color = p.Pane, p.Text
}

// point tells the plot where the pointer is.
func (p *panorama) point(at fyne.Position, over bool) {
	p.reading.pointer, p.reading.over = at, over
	if p.pane.now.Status != nil && p.pane.now.Scene != nil {
		p.showReading(p.pane.plot())
	}
}

// showReading writes what is under the pointer, and how far the plot is magnified: in the upper right corner, or in
// the upper left where the pointer is at the right.
func (p *panorama) showReading(plot view.SkyPlot) {
	r := p.reading
	zoom := p.pane.magnified()
	visible := (r.over || zoom > 1) && p.pane.proposal.by == nobody && p.pane.now.Replay == ""
	setVisible(r.ground, visible)
	setVisible(r.text, visible)
	if !visible {
		return
	}
	to := desk.AxisAngles{Az: plot.Az(float64(r.pointer.X)), El: plot.El(float64(r.pointer.Y))}
	words := view.SkyMagnified(zoom)
	if r.over {
		words = view.SkyReading(p.pane.now, to)
		if zoom > 1 {
			words += "  " + view.Number(zoom, 1) + "×"
		}
	}
	if words != r.text.Text {
		r.text.Text = words
		r.text.Refresh()
	}
	size := fyne.MeasureText(words, r.text.TextSize, r.text.TextStyle)
	room := fyne.NewSize(float32(int(size.Width+2*bubbleInset+1)), lineHeight+4)
	place := fyne.NewPos(p.Size().Width-room.Width-4, 4)
	if r.pointer.X > place.X-lineHeight && r.pointer.Y < room.Height+lineHeight {
		place.X = 4
	}
	r.ground.Move(place)
	r.ground.Resize(room)
	r.text.Move(place.AddXY(bubbleInset, 2))
}
