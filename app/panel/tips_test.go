package panel

import (
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/panel/widget"
)

// No tip of any control lies over the control, over the tabs, or over anything else that can be pressed, whatever the
// words: short ones and long ones are tried at each, at the smallest window too.
func TestATipCoversNothingThatIsPressed(t *testing.T) {
	for _, size := range []fyne.Size{minimum, fyne.NewSize(1440, 860)} {
		w, _ := open(t, size, atRest)
		tried := 0
		synctest.Test(t, func(t *testing.T) {
			tried = tryTips(t, w)
			time.Sleep(time.Second) // till no tip is still to come
		})
		if tried < 30 {
			t.Errorf("%d tips tried", tried)
		}
	}
}

// tryTips tries tips at all controls.
func tryTips(t *testing.T, w *Window) (tried int) {
	layer := w.window.Content().(*fyne.Container).Objects[1].(*fyne.Container)
	for _, placed := range widget.Inventory(w.parts) {
		over, is := placed.Object.(desktop.Hoverable)
		_, tipped := placed.Object.(interface{ ToolTip() string })
		if !is || !tipped || placed.Size.Height > maxPressed {
			continue
		}
		tried++
		over.MouseIn(&desktop.MouseEvent{})
		explained, pressed := w.pressable()
		for _, wide := range []fyne.Size{fyne.NewSize(180, 20), fyne.NewSize(420, 20)} {
			tip := canvas.NewRectangle(nil)
			tip.Resize(wide)
			tip.Move(placed.At.AddXY(placed.Size.Width/2, placed.Size.Height/2+16))
			layer.Objects = []fyne.CanvasObject{tip}
			layer.Refresh()
			at := areaOf(tip.Position(), wide)
			if at.covers(explained) > 0 || at.coversOf(pressed) > 0 || explained == (area{}) {
				t.Errorf("%v: a tip %v wide of %s lies over it, or over %v", w.window.Canvas().Size(), wide.Width,
					placed.Name, named(w, at))
			}
		}
		over.MouseOut()
	}
	layer.Objects = nil
	return tried
}

// named are the controls beneath an area.
func named(w *Window, at area) (names []string) {
	for _, placed := range widget.Inventory(w.parts) {
		_, is := placed.Object.(fyne.Focusable)
		if is && placed.Size.Height <= maxPressed && at.covers(areaOf(placed.At, placed.Size)) > 0 {
			names = append(names, placed.Name)
		}
	}
	return slices.Compact(names)
}
