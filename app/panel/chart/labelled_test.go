package chart_test

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// texts are the words around a plot, by where they stand.
func texts(l *chart.Labelled) map[string]fyne.Position {
	found := map[string]fyne.Position{}
	widget.Walk(l.Object(), func(o fyne.CanvasObject) {
		if t, is := o.(*widget.Text); is && t.ControlWords() != "" && t.Position().Y > -500 {
			found[t.ControlWords()] = t.Position()
		}
	})
	return found
}

// The figures stand at their heights, the moments at their times, a second scale at the right; none overlaps another
// or leaves the whole, at any width.
func TestLabelsStandWhereTheyBelong(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	plot := canvas.NewRectangle(nil)
	l := chart.NewLabelled(plot)
	w := test.NewTempWindow(t, l.Object())
	from := time.Date(2027, 4, 14, 15, 51, 12, 0, time.UTC)
	to := from.Add(10 * time.Minute)
	volts, degrees := chart.Scale{Low: 21, High: 29, Unit: "V"}, chart.Scale{Low: -0.3, High: 0.3, Unit: "°"}
	watts := chart.Scale{Low: 90, High: 210, Unit: "W"}
	l.Show(from, to, volts, degrees, watts)
	for _, width := range []float32{200, 330, 800} {
		w.Resize(fyne.NewSize(width, 160))
		l.Show(from, to, volts, degrees, watts)
		found := texts(l)
		for _, words := range []string{"22", "24", "26", "28 V", "−0.2", "0.0", "0.2°", "100", "200 W",
			"15:55"} {
			if _, there := found[words]; !there {
				t.Errorf("%v wide: %q is not among %v", width, words, found)
			}
		}
		at := found["24"].Y + widget.NewLabel("24").MinSize().Height/2
		if want := plot.Position().Y + float32(volts.Y(24, float64(plot.Size().Height))); math.Abs(
			float64(at-want)) > 2 {
			t.Errorf("%v wide: 24 stands at %v, want %v", width, at, want)
		}
		if found["0.2°"].X < plot.Position().X+plot.Size().Width || found["200 W"].X <= found["0.2°"].X {
			t.Errorf("%v wide: the second scale stands in the plot, or the third not beyond it: %v", width, found)
		}
		for words, p := range found {
			size := widget.NewLabel(words).MinSize()
			if p.X < 0 || p.Y < 0 || p.X+size.Width > l.Object().Size().Width+0.5 ||
				p.Y+size.Height > l.Object().Size().Height+0.5 {
				t.Errorf("%v wide: %q leaves the whole", width, words)
			}
			for other, q := range found {
				with := widget.NewLabel(other).MinSize()
				if other != words && p.X < q.X+with.Width && q.X < p.X+size.Width && p.Y < q.Y+with.Height &&
					q.Y < p.Y+size.Height {
					t.Errorf("%v wide: %q and %q overlap", width, words, other)
				}
			}
		}
	}
	l.Show(from, to, volts)
	if found := texts(l); len(found) == 0 || found["0.2°"] != (fyne.Position{}) {
		t.Errorf("the second scale is still there: %v", found)
	}
}
