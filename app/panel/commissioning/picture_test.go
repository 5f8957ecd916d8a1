package commissioning

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/commission"
	"beamhelm/app/panel/widget"
)

// What the chart of the pushes draws in each palette: points both ways, and the line through them.
func TestChartPictures(t *testing.T) {
	r := newRig(t)
	r.begun = true
	for i, drive := range []float64{0.2, -0.4, 0.5, 0.7, -0.9, 1} {
		speed := 0.3 * (max(drive, -drive) - 0.1) / 0.9 / 0.088 // counts per second
		if drive < 0 {
			speed = -speed
		}
		r.state.Pushes = append(r.state.Pushes, commission.Push{At: r.bench.now.At.Add(time.Duration(i) * time.Second),
			Drive: drive, Steady: true, PerS: speed * (1 + 0.02*float64(i%3-1))})
	}
	r.look()
	charts := newPlot(widget.Context{})
	charts.show(r.Pane.now.Commissioning)
	if words := charts.words[0].ControlWords(); words != "0.30°/s at full drive, from 10 %" {
		t.Errorf("beneath it %q", words)
	}
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "pushes-"+palette.Name+".png", charts.charts[0].Draw(190, 130, 1))
	}
}
