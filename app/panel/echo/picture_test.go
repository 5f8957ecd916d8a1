package echo

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/widget"
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
