package health

import (
	"image"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// readingSheet tells of one reading in full: its state, its limits, its last ten minutes and what to do.
type readingSheet struct {
	index       int
	pane        *Pane
	figure      *widget.Text
	state, next *widget.Prose
	limits      *fyne.Container // what it holds is made again as it changes
	plot        *chart.Labelled
	raster      *canvas.Raster
	scale       chart.Scale
	reading     desk.Reading
	at          time.Time
	told        string // what was last worded: what must be laid out again
}

// openReading opens the sheet of a reading.
func (p *Pane) openReading(index int) {
	s := &readingSheet{
		index: index, pane: p,
		figure: widget.NewText("").Sized(widget.HeadingText).Bold().Reserve("-88.88 L/min").Named("reading-figure"),
		state:  widget.NewProse("").Named("reading-state"),
		next:   widget.NewProse(""), limits: container.NewStack(),
	}
	s.raster = canvas.NewRaster(func(w, h int) image.Image { return s.draw(w, h) })
	s.raster.SetMinSize(fyne.NewSize(300, 130))
	s.plot = chart.NewLabelled(s.raster)
	close := widget.NewButton("Close", "reading-close", "Close this", nil)
	parts := []widget.Part{
		widget.Fixed(widget.Row(12, widget.Fixed(s.figure), widget.Sharing(s.state))),
		widget.Fixed(s.plot.Object()), widget.Fixed(s.limits), widget.Fixed(s.next),
	}
	buttons := []*widget.Button{close}
	key := p.now.Readings[index].Key
	if p.trend != nil && key != "" {
		buttons = append(buttons, widget.NewButton("Show in Records", "reading-records",
			"Its hours and days beside other readings", func() {
				p.with.Open.Close()
				p.trend(key)
			}))
	}
	s.show(p.now)
	sheet := p.with.Open.ShowSheet("reading-dialog", p.now.Readings[index].Name,
		widget.Column(8, parts...), buttons, close)
	sheet.OnTick(s.show)
}

// show brings the sheet up to date.
func (s *readingSheet) show(now view.Now) {
	if now.Status == nil || !now.Full && s.told != "" {
		return
	}
	told := view.TellReading(now, s.index)
	s.reading, s.at = now.Readings[s.index], now.At
	s.figure.Set(told.Figure.Words, told.Figure.Tone)
	s.state.Set(told.State.Words, told.State.Tone)
	words := told.Next.Words
	for _, l := range told.Limits {
		words += "|" + l.Name + l.Value.Words
	}
	if s.told != words+"|" {
		s.told = words + "|"
		s.lay(told)
	}
	s.scale = s.span()
	s.plot.Show(now.At.Add(-columnCount*columnTime), now.At, s.scale)
	s.raster.Refresh()
}

// lay words the limits and what to do.
func (s *readingSheet) lay(told view.ReadingTold) {
	var parts []widget.Part
	for _, l := range told.Limits {
		parts = append(parts, widget.Fixed(widget.Row(8, widget.Fixed(widget.NewLabel(l.Name).Reserve("Warning above:")),
			widget.Fixed(widget.NewText(l.Value.Words).Small()))))
	}
	s.limits.Objects = []fyne.CanvasObject{widget.Column(0, parts...)}
	s.limits.Refresh()
	s.next.Set(told.Next.Words, told.Next.Tone)
}

// span is the range of the plot: what was read, what it is now, and the limits that are near.
func (s *readingSheet) span() chart.Scale {
	least, most, ok := s.pane.histories[s.index].bounds()
	low, high := float64(least), float64(most)
	if !ok {
		low, high = s.reading.Low, s.reading.High
	}
	room := max(high-low, (s.reading.High-s.reading.Low)/10, math.Pow(10, -float64(s.reading.Decimals)))
	for _, limit := range view.LimitsOf(s.reading) {
		if limit > low-2*room && limit < high+2*room { // not where it is NaN
			low, high = min(low, limit), max(high, limit)
		}
	}
	middle := (low + high) / 2
	room = max(high-low, room) * 0.58
	return chart.Scale{Low: middle - room, High: middle + room, Unit: s.reading.Unit}
}

// draw draws the last ten minutes and the limits.
func (s *readingSheet) draw(w, h int) image.Image {
	p, d := widget.Current(), chart.New(w, h)
	d.FillAll(p.Well)
	unit := chart.PerUnit(w, s.raster)
	if !(s.scale.High > s.scale.Low) {
		return d.Picture()
	}
	y := func(v float64) float64 { return s.scale.Y(v, float64(h)) }
	chart.Grid(d, s.at.Add(-columnCount*columnTime), s.at, s.scale, unit, p.Line)
	chart.Limits(d, s.scale, view.LimitsOf(s.reading), unit)
	s.curve(d, y, float64(w), unit)
	d.Paint(p.Is)
	return d.Picture()
}

// curve traces the least and the greatest of each column; columns without a value are gaps.
func (s *readingSheet) curve(d *chart.Drawing, y func(float64) float64, w, unit float64) {
	history, column := &s.pane.histories[s.index], w/columnCount
	var upper, lower []chart.Point
	end := func() {
		if len(upper) > 0 {
			for i := len(lower) - 1; i >= 0; i-- {
				upper = append(upper, chart.Point{X: lower[i].X, Y: lower[i].Y + 1.4*unit})
			}
			d.Polygon(upper...)
		}
		upper, lower = nil, nil
	}
	for back := columnCount - 1; back >= 0; back-- {
		low, high := history.at(back)
		if !history.any || low != low {
			end()
			continue
		}
		right := w - float64(back)*column
		for _, x := range [...]float64{right - column, right} {
			upper = append(upper, chart.Point{X: x, Y: y(float64(high)) - 0.7*unit})
			lower = append(lower, chart.Point{X: x, Y: y(float64(low)) - 0.7*unit})
		}
	}
	end()
}
