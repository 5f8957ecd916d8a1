package health

import (
	"image"
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// What a row and the chart of a reading draw in each palette: a trace with a gap, a sequencer's states, the scale with
// its limits.
func TestChartPictures(t *testing.T) {
	test.NewTempApp(t)
	p, status := New(widget.Context{}), stage.Tracking()
	p.Show(view.At(&status, 0, 0))
	var states history
	const index = 0
	for i := range columnCount {
		at := stage.Evening().Add(time.Duration(i-columnCount+1) * columnTime)
		if i < 40 || i > 50 {
			p.histories[index].add(at, 24+math.Sin(float64(i)/7), 1)
		}
		states.add(at, float64(i/12%5), 1)
	}
	sheet := &readingSheet{index: index, pane: p, reading: status.Readings[index], at: stage.Evening()}
	plot := chart.NewPlot(p.with, "reading-plot")
	plot.Show(sheet.trend())
	scale := view.Scale{From: 0.2, To: 0.7, At: 0.55, Limits: [4]float64{0.1, 0.2, 0.7, 0.9}}
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		ink := widget.Current()
		for name, picture := range map[string]func() image.Image{
			"trace":   func() image.Image { return drawTrace(&p.histories[index], 40, ink.Mark, 120, 20) },
			"states":  func() image.Image { return drawStates(&states, ink, 120, 20) },
			"scale":   func() image.Image { return drawBand(scale, ink, ink.Measured, 120, 12) },
			"reading": func() image.Image { return plot.Draw(300, 140, 1) },
		} {
			test.AssertImageMatches(t, name+"-"+palette.Name+".png", picture())
		}
	}
}
