package chart_test

import (
	"image"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// invented is a plot with points, one of them odd, a gap, a curve, a band, places and limits.
func invented() view.Plot {
	p := view.Plot{Title: "Level", Unit: "dB", XUnit: "°", Decimals: 2, XDecimals: 2,
		Limits: [4]float64{math.NaN(), math.NaN(), 7, 9},
		Places: []view.Place{{X: 1, Name: "trim", Was: true}, {X: 2, Name: "peak"}}}
	points := view.Series{Name: "measured", Look: view.Discs}
	curve, band := view.Series{Name: "fit"}, view.Series{Name: "noise", Look: view.Band}
	for i := range 11 {
		x, y := float64(i), 8*math.Exp(-math.Pow((float64(i)-5)/3, 2))
		if i == 8 {
			y = math.NaN()
		}
		points.X, points.Y, points.Odd = append(points.X, x), append(points.Y, y), append(points.Odd, i == 3)
		curve.X, curve.Y = append(curve.X, x), append(curve.Y, y+0.2)
		band.X, band.Y, band.Top = append(band.X, x), append(band.Y, y-2), append(band.Top, y-1.5)
	}
	for _, s := range []view.Series{points, curve, band} {
		p.Add(s)
	}
	p.Room(0.05, 0.1, 0.1)
	return p
}

// shownPlot is a plot in a window; under finds its control.
func shownPlot(t *testing.T) (p *chart.Plot, open *widget.Open, under fyne.CanvasObject) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, nil)
	open = widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p = chart.NewPlot(widget.Context{Open: open}, "plot")
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(420, 220))
	p.Show(invented())
	for _, placed := range widget.Inventory(w.Content()) {
		if placed.Name == "plot" {
			under = placed.Object
		}
	}
	if under == nil {
		t.Fatal("no control named plot")
	}
	return p, open, under
}

// readOut is what is said above the plot, and figures those beneath it.
func readOut(p *chart.Plot) (said string, figures int) {
	widget.Walk(p.Object(), func(o fyne.CanvasObject) {
		if t, is := o.(*widget.Text); is {
			if t.ControlName() == "plot-readout" {
				said = t.ControlWords()
			} else if strings.HasSuffix(t.ControlWords(), "°") && t.Position().Y > 0 {
				figures++
			}
		}
	})
	return said, figures
}

func TestPlotIsReadOut(t *testing.T) {
	p, _, under := shownPlot(t)
	width := under.Size().Width
	move := func(part float32) string {
		at := fyne.PointEvent{Position: fyne.NewPos(part*width, 20)}
		under.(desktop.Hoverable).MouseIn(&desktop.MouseEvent{PointEvent: at})
		said, _ := readOut(p)
		return said
	}
	if got, want := move(0.52), "5.00°,  measured 8.00 dB,  fit 8.20 dB,  noise 6.00 to 6.50 dB"; got != want {
		t.Errorf("under the pointer: %q, want %q", got, want)
	}
	under.(desktop.Hoverable).MouseOut()
	if got, _ := readOut(p); got != "Level, dB" {
		t.Errorf("without the pointer: %q", got)
	}
	press := func(key fyne.KeyName) string {
		under.(fyne.Focusable).TypedKey(&fyne.KeyEvent{Name: key})
		said, _ := readOut(p)
		return said
	}
	for _, step := range []struct {
		key  fyne.KeyName
		want string
	}{{fyne.KeyRight, "0.00°"}, {fyne.KeyRight, "1.00°"}, {fyne.KeyLeft, "0.00°"}} {
		if got := press(step.key); !strings.HasPrefix(got, step.want) {
			t.Errorf("%s: %q, want %q", step.key, got, step.want)
		}
	}
	for range 10 {
		press(fyne.KeyRight)
	}
	if got := press(fyne.KeyRight); !strings.HasPrefix(got, "10.00°") {
		t.Errorf("at the last point, past the gap: %q", got)
	}
}

func same(a, b image.Image) bool {
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			if a.At(x, y) != b.At(x, y) {
				return false
			}
		}
	}
	return a.Bounds() == b.Bounds()
}

func TestPlotIsZoomed(t *testing.T) {
	p, open, under := shownPlot(t)
	whole := p.Draw(300, 100, 1)
	shows := func(x float64) bool { // the read-out tells of it only where it is shown
		left, right := p.Span()
		return x >= left && x <= right
	}
	at := fyne.PointEvent{Position: fyne.NewPos(0, 10)}
	for range 3 {
		under.(fyne.Scrollable).Scrolled(&fyne.ScrollEvent{PointEvent: at, Scrolled: fyne.NewDelta(0, 10)})
	}
	if !shows(1) || shows(6) {
		t.Error("the wheel doesn't narrow about the pointer")
	}
	under.(fyne.Draggable).Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(-under.Size().Width, 0)})
	if shows(1) || !shows(5) {
		t.Error("dragging doesn't move")
	}
	p.Show(invented())
	if shows(1) {
		t.Error("new figures undo the zoom")
	}
	under.(fyne.Focusable).TypedKey(&fyne.KeyEvent{Name: fyne.KeyHome})
	if left, right := p.Span(); left > 0 || right < 10 {
		t.Errorf("Home shows %v to %v", left, right)
	}
	if got := p.Draw(300, 100, 1); !same(whole, got) {
		t.Error("the whole is drawn in another way than before")
	}
	under.(fyne.Focusable).TypedRune('e')
	asks := false
	widget.Walk(open.Object(), func(o fyne.CanvasObject) {
		if b, is := o.(*widget.Button); is && b.ControlName() == "plot-csv" {
			asks = true
		}
	})
	if !asks {
		t.Error("E doesn't offer the table")
	}
}

func TestPlotPictures(t *testing.T) {
	p, _, _ := shownPlot(t)
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "plot-"+palette.Name+".png", p.Draw(420, 160, 1))
	}
}

// The table has all that is drawn, but for gaps.
func TestPlotTable(t *testing.T) {
	p := invented()
	body, err := p.Table()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(body)), "\r\n")
	if len(lines) != 1+3*10 || lines[0] != "series,x_°,y,y_most,y_error,unit,excluded" ||
		lines[6] != "measured,5,8,,,dB,no" ||
		lines[4] != "measured,3,"+strings.Split(lines[4], ",")[2]+",,,dB,yes" {
		t.Errorf("%d lines:\n%s", len(lines), body)
	}
}
