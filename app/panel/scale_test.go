package panel

import (
	"fmt"
	"math"
	"os"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// rest lets the keys rest until the size that they ask for is taken.
func rest(w *Window) {
	for range pauseTicks {
		w.settle()
	}
}

// However often the key is pressed, all is drawn in another size once: each time takes most of a second, in which a
// Stop would wait.
func TestManyStepsAreOne(t *testing.T) {
	t.Setenv(scaleVariable, "")
	w, _ := open(t, fyne.NewSize(2600, 1500), nil)
	for range 4 {
		w.stepScale(1)
		w.settle()
		if w.scaleNow() != 100 {
			t.Fatalf("%d %% while the key is still pressed", w.scaleNow())
		}
	}
	rest(w)
	if w.scaleNow() != 175 {
		t.Errorf("four steps up: %d %%, want 175 %%", w.scaleNow())
	}
	w.stepScale(1)
	w.SetScale(90) // in the menu
	rest(w)
	if w.scaleNow() != 90 {
		t.Errorf("90 %% chosen: %d %%", w.scaleNow())
	}
}

// Ctrl and + enlarge also where the plus comes with Shift.
func TestPlusWithShiftEnlarges(t *testing.T) {
	t.Setenv(scaleVariable, "")
	w, _ := open(t, fyne.NewSize(2600, 1500), nil)
	for want, shortcut := range map[int]*desktop.CustomShortcut{
		110: {KeyName: fyne.KeyEqual, Modifier: fyne.KeyModifierControl | fyne.KeyModifierShift},
		90:  {KeyName: fyne.KeyMinus, Modifier: fyne.KeyModifierControl},
	} {
		w.SetScale(100)
		w.window.Canvas().(fyne.Shortcutable).TypedShortcut(shortcut)
		rest(w)
		if got := w.scaleNow(); got != want {
			t.Errorf("%+v: %d %%, want %d %%", shortcut, got, want)
		}
	}
}

// A window stays as large as it is on the screen when its words become larger, and so keeps the stop control there.
func TestTheWindowDoesNotGrowWithItsWords(t *testing.T) {
	t.Setenv(scaleVariable, "")
	w, _ := open(t, fyne.NewSize(2600, 1500), nil)
	for percent, want := range map[int]float32{110: 2600 / 1.1, 125: 2600 / 1.3, 150: 2600 / 1.5, 100: 2600} {
		w.SetScale(100)
		w.window.Resize(fyne.NewSize(2600, 1500))
		w.SetScale(percent)
		if got := w.window.Canvas().Size().Width; w.scaleNow() != percent || math.Abs(float64(got-want)) > 1 {
			t.Errorf("at %d %%: %v units wide, want %v", w.scaleNow(), got, want)
		}
	}
}

// A size that the desktop tells late, of the scale before, neither stays nor is taken for the window's when the scale
// changes again at once.
func TestALateSizeDoesNotStay(t *testing.T) {
	t.Setenv(scaleVariable, "")
	w, d := open(t, fyne.NewSize(2600, 1500), nil)
	late := fyne.NewSize(2600/1.8, 1500/1.8)
	is := func(percent int) {
		t.Helper()
		got, want := w.window.Canvas().Size(), 2600/factor(percent)
		if math.Abs(float64(got.Width-want)) > 1 {
			t.Errorf("at %d %%: %v units wide, want %v", percent, got.Width, want)
		}
	}
	w.SetScale(175)
	w.SetScale(200)
	w.window.Resize(late)
	bring(w, d, nil)
	is(200)
	w.window.Resize(late)
	w.SetScale(150)
	is(150)
	for range settleTicks {
		bring(w, d, nil)
	}
	w.window.Resize(fyne.NewSize(1900, 900)) // by the operator
	bring(w, d, nil)
	if got := w.window.Canvas().Size().Width; got != 1900 {
		t.Errorf("drawn to 1900 units: %v", got)
	}
}

// The size of words is remembered; what isn't one changes nothing, and no step goes beyond the ends.
func TestSizeOfWords(t *testing.T) {
	t.Setenv(scaleVariable, "") // and back to what it was afterwards
	w, _ := open(t, fyne.NewSize(1340, 680), nil)
	for _, percent := range []int{0, 7, -100} {
		if w.SetScale(percent); w.Look().Scale != 0 {
			t.Errorf("%d %% was taken: %d", percent, w.Look().Scale)
		}
	}
	w.stepScale(-1)
	rest(w)
	if w.Look().Scale != 90 || os.Getenv(scaleVariable) != "0.90" {
		t.Errorf("a step smaller: %d %%, %q", w.Look().Scale, os.Getenv(scaleVariable))
	}
	for range 10 {
		w.stepScale(-1)
	}
	rest(w)
	if w.Look().Scale != 80 {
		t.Errorf("many steps smaller: %d %%", w.Look().Scale)
	}
	w.window.Resize(fyne.NewSize(2600, 1500))
	for range 20 {
		w.stepScale(1)
	}
	rest(w)
	if got := w.Look().Scale; got <= 100 || got > 200 {
		t.Errorf("many steps larger in a large window: %d %%", got)
	}
}

// The size chosen in an earlier session is there from the start.
func TestScaleFromTheStart(t *testing.T) {
	for _, percent := range scales() {
		t.Setenv(scaleVariable, "")
		w := New(test.NewTempApp(t), stage.New(stage.Tracking()), Config{Scale: percent})
		if got, want := w.Look().Scale, fmt.Sprintf("%.2f", float64(percent)/100); got != percent ||
			os.Getenv(scaleVariable) != want {
			t.Errorf("%d %%: %d %%, %q", percent, got, os.Getenv(scaleVariable))
		}
		w.window.Close()
	}
}

// In a window that is too small for everything, both edges stay whole, the body scrolls, and a control that
// gets the keyboard is brought into sight.
func TestTheBodyScrollsInASmallWindow(t *testing.T) {
	w, d := open(t, fyne.NewSize(683, 360), nil) // 1366x768 at 200 %, less a title bar
	place := func(object fyne.CanvasObject) fyne.Position {
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject
		return at(object).Subtract(at(w.parts))
	}
	for _, edge := range []fyne.CanvasObject{w.top.object, w.foot.object} {
		at, size := place(edge), edge.Size()
		if at.X < 0 || at.Y < 0 || at.X+size.Width > 683 || at.Y+size.Height > 360 ||
			size.Height < edge.MinSize().Height {
			t.Errorf("an edge lies at %v, %v", at, size)
		}
	}
	var stop, hold, setup *widget.Placed
	for _, placed := range widget.Inventory(w.parts) {
		switch placed.Name {
		case "stop":
			stop = &placed
		case "hold":
			hold = &placed
		case "view-menu-button":
			setup = &placed
		}
	}
	if stop == nil || stop.At.Y+stop.Size.Height > 360 || stop.At.X+stop.Size.Width > 683 {
		t.Errorf("the stop control: %+v", stop)
	}
	for _, placed := range []*widget.Placed{hold, setup, hold} {
		object := placed.Object.(fyne.CanvasObject)
		w.window.Canvas().Focus(object.(fyne.Focusable))
		w.show(view.At(d.Status(), 1, 0))
		at, size := place(object).Subtract(place(w.scroll)), object.Size()
		if room := w.scroll.Size(); at.X < 0 || at.Y < 0 || at.X+size.Width > room.Width ||
			at.Y+size.Height > room.Height {
			t.Errorf("%s has the keyboard at %v in a room of %v", placed.Name, at, room)
		}
	}
	w.right.chooseTitle("Plan")
	if at := place(w.right.stack); at.X > 683-w.right.stack.Size().Width+1 {
		t.Errorf("the pane that was chosen begins at %v", at)
	}
	w.window.Resize(fyne.NewSize(1366, 720))
	w.show(view.At(d.Status(), 2, 0))
	if w.scroll.Offset != (fyne.Position{}) || w.scroll.Content.Size() != w.scroll.Size() {
		t.Errorf("with room for all it stays scrolled by %v", w.scroll.Offset)
	}
}
