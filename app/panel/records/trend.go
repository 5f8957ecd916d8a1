package records

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// trend is the picture of a reading over a time.
type trend struct {
	raster *canvas.Raster
	object fyne.CanvasObject
	answer answer
}

func newTrend() *trend {
	t := &trend{}
	t.raster = canvas.NewRaster(func(w, h int) image.Image { return draw(t.answer, w, h, chart.PerUnit(w, t.raster)) })
	t.raster.SetMinSize(fyne.NewSize(200, 120))
	t.object = container.NewStack(t.raster)
	return t
}

func (t *trend) show(a answer) {
	t.answer = a
	t.raster.Refresh()
}

// bounds are the least and greatest of all points; ok is false when there is none.
func bounds(points []journal.Point) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = min(low, p.Least), max(high, p.Most)
	}
	return low, high, low <= high
}

// draw draws the trend: the mean as a line, least to greatest as a band behind
// it, gaps where nothing was recorded, and at the lower edge what went wrong.
func draw(a answer, w, h int, unit float64) image.Image {
	p := widget.Current()
	d := chart.New(w, h)
	d.FillAll(p.Well)
	low, high, ok := bounds(a.points)
	span := a.to.Sub(a.from).Seconds()
	if !ok || !(span > 0) {
		return d.Picture()
	}
	// What hardly varies is not blown up to the whole height.
	room := max(high-low, 10*math.Pow(10, -float64(a.series.Decimals)))
	middle, inside := (low+high)/2, float64(h)-16*unit
	y := func(v float64) float64 { return float64(h)/2 - (v-middle)/room*inside }
	for part := 1; part < 4; part++ {
		d.Down(float64(w*part)/4, 0, float64(h), max(1, int(unit)), p.Line)
		d.Across(0, float64(w), float64(h*part)/4, max(1, int(unit)), p.Line)
	}
	x := func(seconds float64) float64 { return seconds / span * float64(w) }
	var line []chart.Point
	var lines [][]chart.Point
	for i, q := range a.points {
		left := x(q.At.Sub(a.from).Seconds())
		right := left + x(a.step.Seconds())
		if i > 0 && q.At.Sub(a.points[i-1].At) > a.step*3/2 {
			lines, line = append(lines, line), nil
		}
		d.Polygon(chart.Point{X: left, Y: y(q.Most)}, chart.Point{X: right, Y: y(q.Most)}, chart.Point{X: right, Y: y(q.Least)}, chart.Point{X: left, Y: y(q.Least)})
		line = append(line, chart.Point{X: (left + right) / 2, Y: y(q.Mean)})
	}
	d.Paint(widget.Fade(p.Is, 0.3))
	for _, l := range append(lines, line) {
		d.Line(l, 1.4*unit)
	}
	d.Paint(p.Is)
	for _, event := range a.happenings {
		if event.Grade < desk.Warning {
			continue
		}
		at, r := x(event.At.Sub(a.from).Seconds()), 4*unit
		base := float64(h) - 2*unit
		d.Polygon(chart.Point{X: at - r, Y: base}, chart.Point{X: at + r, Y: base}, chart.Point{X: at, Y: base - 2*r})
		d.Paint(p.Tint(view.GradeTone(event.Grade, view.Plain)))
	}
	return d.Picture()
}
