package panel

import (
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/view"
)

// What had the keyboard in a pane that goes has it no longer: a key would press what nobody sees.
func TestAPaneThatGoesHasNoKeyboard(t *testing.T) {
	w, _ := open(t, laptop, nil)
	canvas := w.window.Canvas()
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF7})
	canvas.Focus(focusable(t, w)["records-search"])
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF7})
	if canvas.Focused() == nil {
		t.Error("a pane that stays lost the keyboard")
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF5})
	if canvas.Focused() != nil {
		t.Errorf("the keyboard is with %v", canvas.Focused())
	}
	canvas.Focus(focusable(t, w)["track"])
	if w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF6}); canvas.Focused() == nil {
		t.Error("what is beside the panes lost the keyboard")
	}
}

// Two panes stand side by side where it is wanted and the window is wide enough: both live, each in one place, with
// the keys as before; and what was chosen is remembered.
func TestTwoPanes(t *testing.T) {
	w, d := open(t, fyne.NewSize(1900, 1000), nil)
	tick := func() { w.show(view.At(d.Status(), 20, 0)) }
	seen := func(name string) bool { _, ok := w.Layout().Control[name]; return ok }
	if seen("second-noise") || w.Look().Second != "" {
		t.Fatal("a second pane that nobody wants")
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF9})
	tick()
	l := w.Layout().Control
	if !l["second-noise"].On || !l["pane-health"].On || !seen("peak-sweeps") || !seen("health-list") {
		t.Fatalf("after F9: Noise %v, Health %v", l["second-noise"], l["pane-health"])
	}
	if peak, health := l["peak-sweeps"], l["health-list"]; peak.X+peak.W > health.X {
		t.Errorf("the second pane is not to the left of the first: %+v, %+v", peak, health)
	}
	bring(w, d, func(s *desk.Status) { s.Peak.Running, s.Peak.Doing = true, message.Text("Scanning cross-elevation") })
	if got := w.Layout().Control["peak-head"].Words; got != "Scanning cross-elevation" {
		t.Errorf("the second pane says %q", got)
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF3}) // Noise: the two change places
	tick()
	if l = w.Layout().Control; !l["pane-noise"].On || !l["second-health"].On || w.Look().Second != "Health" {
		t.Errorf("Noise by key: %v, %v", l["pane-noise"], l["second-health"])
	}
	w.Press("second-plan")
	tick()
	if l = w.Layout().Control; !l["second-plan"].On || !l["pane-noise"].On || seen("health-list") {
		t.Error("Plan is not in the second place, with Noise in the first")
	}
	w.window.Resize(minimum)
	tick()
	if seen("second-plan") || !seen("peak-sweeps") || w.Look().Second != "Plan" {
		t.Error("a narrow window has two panes, or forgets that two are wanted")
	}
	w.window.Resize(fyne.NewSize(1900, 1000))
	tick()
	if !seen("second-plan") {
		t.Error("a wide window again, and no second pane")
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF9})
	tick()
	if seen("second-plan") || !seen("peak-sweeps") || w.Look().Second != "" {
		t.Error("F9 once more leaves the second pane")
	}
}
