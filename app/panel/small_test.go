package panel

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// small is a screen of 1366 by 768 at 200 %, less a title bar.
var small = fyne.NewSize(683, 360)

// keyed is an app whose keyboard has modifiers held down.
type keyed struct {
	fyne.App
	held fyne.KeyModifier
}

type keyedDriver struct {
	fyne.Driver
	app *keyed
}

func (k *keyed) Driver() fyne.Driver                        { return keyedDriver{k.App.Driver(), k} }
func (d keyedDriver) CurrentKeyModifiers() fyne.KeyModifier { return d.app.held }

// controlOf finds a control of the window that is in sight.
func controlOf(t *testing.T, w *Window, name string) widget.Placed {
	t.Helper()
	for _, placed := range widget.Inventory(w.parts) {
		if placed.Name == name {
			return placed
		}
	}
	t.Fatalf("there is no %s", name)
	return widget.Placed{}
}

// In a window without room for all the wheel over what it magnifies scrolls the body, but where that has the keyboard
// or Ctrl is held; with room for all it magnifies.
func TestTheWheelScrollsASmallWindow(t *testing.T) {
	app := &keyed{App: test.NewTempApp(t)}
	d := stage.New(stage.Tracking())
	w := New(app, d, Config{Faults: &fakeFaults{}})
	t.Cleanup(w.window.Close)
	w.window.Resize(small)
	w.show(view.At(d.Status(), 10, 0))
	sky := controlOf(t, w, "panorama").Object.(interface {
		fyne.Scrollable
		fyne.Focusable
		fyne.CanvasObject
	})
	turn := func(what string, by float32, scrolls bool) {
		t.Helper()
		w.scroll.ScrollToOffset(fyne.Position{})
		event := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, by)}
		event.Position = fyne.NewPos(50, 50)
		sky.Scrolled(event)
		if got := w.scroll.Offset.Y > 0; got != scrolls {
			t.Errorf("%s: it scrolls: %v, want %v", what, got, scrolls)
		}
	}
	turn("as it is", -25, true)
	app.held = fyne.KeyModifierControl
	turn("with Ctrl", -25, false)
	app.held = 0
	w.window.Canvas().Focus(sky)
	turn("with the keyboard", -25, false)
	w.window.Canvas().Unfocus()
	w.window.Resize(fyne.NewSize(1366, 720))
	turn("with room for all", -25, false)
}

// The wheel over a chart in a dialog without room for all scrolls that, and moves nothing behind it.
func TestTheWheelScrollsADialog(t *testing.T) {
	w, _ := open(t, small, nil)
	plot := chart.NewPlot(w.with, "probe")
	shown := view.Plot{Left: 0, Right: 10, Low: 0, High: 1}
	shown.Add(view.Series{X: []float64{0, 10}, Y: []float64{0, 1}})
	plot.Show(shown)
	end := widget.NewLabel("the end")
	body := widget.Column(4, widget.Part{Object: plot.Object(), Min: 600}, widget.Fixed(end))
	close := widget.NewButton("Close", "probe-close", "", nil)
	w.with.Open.ShowSheet("probe-dialog", "Probe", body, []*widget.Button{close}, close)
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	before := place(end).Y
	left, right := plot.Span()
	event := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -25)}
	widget.Walk(w.with.Open.Object(), func(o fyne.CanvasObject) {
		if over, is := o.(interface {
			fyne.Scrollable
			ControlName() string
		}); is && over.ControlName() == "probe" {
			over.Scrolled(event)
		}
	})
	l, r := plot.Span()
	if place(end).Y >= before || l != left || r != right || w.scroll.Offset != (fyne.Position{}) {
		t.Errorf("its end moves from %v to %v, the chart from %v..%v to %v..%v, the body by %v", before,
			place(end).Y, left, right, l, r, w.scroll.Offset)
	}
}

// No menu lies over the upper edge, with the state of the dish; all of its lines are reached by scrolling.
func TestMenusLeaveTheUpperEdgeFree(t *testing.T) {
	w, d := open(t, small, nil)
	for _, button := range []string{"source-select", "view-menu-button"} {
		w.show(view.At(d.Status(), 10, 0))
		w.Press(button)
		edge, menus := w.top.object.Position().Y+w.top.object.Size().Height, 0
		widget.Walk(w.with.Open.Object(), func(o fyne.CanvasObject) {
			sheet, is := o.(*widget.Sheet)
			if !is {
				return
			}
			menus++
			if at := sheet.Position().Y; at < edge || at+sheet.Size().Height > w.foot.object.Position().Y {
				t.Errorf("%s opens from %v to %v, the upper edge ends at %v", button, at, at+sheet.Size().Height, edge)
			}
		})
		if menus != 1 {
			t.Errorf("%s opens %d menus", button, menus)
		}
		w.with.Open.Close()
	}
}

// Closing what was opened gives the keyboard back where it was, and leaves the window scrolled as it is.
func TestClosingScrollsNothing(t *testing.T) {
	w, d := open(t, small, nil)
	w.window.Canvas().Focus(controlOf(t, w, "view-menu-button").Object.(fyne.Focusable))
	w.show(view.At(d.Status(), 10, 0))
	w.showInFull()
	w.show(view.At(d.Status(), 11, 0))
	w.scroll.ScrollToOffset(fyne.Position{})
	w.with.Open.Close()
	w.show(view.At(d.Status(), 12, 0))
	if w.scroll.Offset != (fyne.Position{}) || w.window.Canvas().Focused() == nil {
		t.Errorf("scrolled by %v, the keyboard is with %v", w.scroll.Offset, w.window.Canvas().Focused())
	}
}
