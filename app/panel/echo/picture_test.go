package echo

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// What the four charts over the pass draw in each palette.
func TestChartPictures(t *testing.T) {
	p, _, _ := open(t, func(r *radio.Path) {
		rise := r.At.Truncate(time.Hour).Add(-5 * time.Hour)
		r.Pass = &radio.Pass{Rise: rise, Set: rise.Add(10 * time.Hour)}
		for i := range 41 {
			x := float64(i)/20 - 1 // from -1 at rise to 1 at set
			r.Pass.Points = append(r.Pass.Points, radio.PassPoint{At: rise.Add(time.Duration(i) * 15 * time.Minute),
				DopplerHz: -2600 * math.Sin(1.4*x), SpreadHz: 90 - 35*x*x, AbovePerigeeDB: 0.4 + 0.05*x,
				SystemK: 60 + 25*x*x, BothStations: i > 25})
		}
	})
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		for i, name := range []string{"doppler", "spread", "loss", "noise"} {
			test.AssertImageMatches(t, name+"-"+palette.Name+".png", p.charts[i].Draw(200, 60, 1))
		}
	}
}

// What the own echoes over time draw in each palette: those found with their errors, and what the budget expected.
func TestHistoryPicture(t *testing.T) {
	p, d, _ := open(t, nil)
	status := *d.Status()
	for i, db := range []float64{21.5, 20.8, 22.1, 18.2, 17.6, 21.9} {
		status.OwnEcho.Before = append(status.OwnEcho.Before, ownecho.Result{At: stage.Evening().AddDate(0, i-7, 5*i),
			Band: status.Band.Name, Detected: true, CN0DBHz: db, CN0ErrorDB: 0.5 + 0.2*float64(i), HasExpected: i != 2,
			ExpectedDBHz: 21.4 + 0.2*float64(i%3)})
	}
	plot := chart.NewPlot(p.with, "history")
	plot.Show(view.OwnEchoPlot(view.At(&status, 0, 0)))
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "history-"+palette.Name+".png", plot.Draw(380, 160, 1))
	}
}
