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
)

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

// The size of words is remembered; one that the window has no room for is
// neither offered nor taken, and no step goes beyond the ends.
func TestSizeOfWords(t *testing.T) {
	t.Setenv(scaleVariable, "") // and back to what it was afterwards
	w, _ := open(t, fyne.NewSize(1340, 680), nil)
	for _, percent := range []int{0, 7, -100, 200} {
		if w.SetScale(percent); w.Look().Scale != 0 {
			t.Errorf("%d %% was taken: %d", percent, w.Look().Scale)
		}
	}
	w.stepScale(-1)
	if w.Look().Scale != 90 || os.Getenv(scaleVariable) != "0.90" {
		t.Errorf("a step smaller: %d %%, %q", w.Look().Scale, os.Getenv(scaleVariable))
	}
	for range 10 {
		w.stepScale(-1)
	}
	if w.Look().Scale != 80 {
		t.Errorf("many steps smaller: %d %%", w.Look().Scale)
	}
	w.window.Resize(fyne.NewSize(2600, 1500))
	for range 20 {
		w.stepScale(1)
	}
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
