package receiver

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// plot draws the levels of one axis of a peak and the curve laid through them.
type plot struct {
	object                       *fyne.Container
	raster                       *canvas.Raster
	title, none                  *widget.Text
	low, top, leftEnd, rightEnds *widget.Text
	shown                        view.PeakPlot
}

func newPlot() *plot {
	p := &plot{
		title: widget.NewLabel(""), none: widget.NewLabel("nothing measured yet").Middle(),
		low: widget.NewLabel("").Right(), top: widget.NewLabel("").Right(), leftEnd: widget.NewLabel(""), rightEnds: widget.NewLabel("").Right(),
	}
	p.raster = canvas.NewRaster(p.draw)
	p.object = container.New(plotLayout{p}, p.raster, p.title, p.none, p.low, p.top, p.leftEnd, p.rightEnds)
	p.show(view.PeakPlot{})
	return p
}

func (p *plot) show(shown view.PeakPlot) {
	p.shown = shown
	p.title.SetWords(shown.Title)
	p.low.SetWords(shown.LowWords)
	p.top.SetWords(shown.Tops)
	p.leftEnd.SetWords(shown.LeftWords)
	p.rightEnds.SetWords(shown.RightWords)
	if shown.Has {
		p.none.Hide()
	} else {
		p.none.Show()
	}
	p.raster.Refresh()
}

func (p *plot) draw(w, h int) image.Image {
	ink := widget.Current()
	d := chart.New(w, h)
	d.FillAll(ink.Well)
	s := &p.shown
	if !s.Has || w < 8 || h < 8 {
		return d.Picture()
	}
	unit := chart.PerUnit(w, p.raster)
	x := func(off float64) float64 { return (off - s.Left) / (s.Right - s.Left) * float64(w-1) }
	y := func(db float64) float64 {
		return float64(h) - 3*unit - (db-s.Low)/(s.High-s.Low)*(float64(h)-6*unit)
	}
	size := 1.3 * unit
	if s.Points {
		size = 2.5 * unit
	} else {
		d.Dashed([]chart.Point{{X: x(s.Was), Y: 0}, {X: x(s.Was), Y: float64(h)}}, unit, 3*unit, 3*unit)
		d.Paint(ink.Dim)
	}
	for i := range s.Off {
		if !s.Odd[i] && s.Level[i] >= s.Low {
			d.Disc(chart.Point{X: x(s.Off[i]), Y: y(s.Level[i])}, size)
		}
	}
	d.Paint(ink.Is)
	line := make([]chart.Point, 0, len(s.CurveOff))
	for i := range s.CurveOff {
		if s.CurveLevel[i] >= s.Low {
			line = append(line, chart.Point{X: x(s.CurveOff[i]), Y: y(s.CurveLevel[i])})
		}
	}
	d.Line(line, 1.5*unit)
	d.Paint(ink.Want)
	if !s.Points {
		d.Line([]chart.Point{{X: x(s.Found), Y: 0}, {X: x(s.Found), Y: float64(h)}}, 1.3*unit)
	}
	d.Paint(ink.Want)
	return d.Picture()
}

// plotLayout puts the words around a plot.
type plotLayout struct{ plot *plot }

// MinSize implements fyne.Layout.
func (plotLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(160, 60) }

// Layout implements fyne.Layout.
func (l plotLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	p := l.plot
	height := p.title.MinSize().Height
	const edge = 30
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	high := size.Height - height
	put(p.raster, 0, 0, size.Width-edge, high)
	put(p.title, 5, 1, size.Width-edge-10, height)
	put(p.none, 0, (high-height)/2, size.Width-edge, height)
	put(p.top, size.Width-edge, 0, edge-2, height)
	put(p.low, size.Width-edge, high-height, edge-2, height)
	put(p.leftEnd, 0, high, 110, height)
	put(p.rightEnds, size.Width-edge-110, high, 110, height)
}
