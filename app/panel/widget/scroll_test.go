package widget

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

// What is scrolled away beneath the pointer is under it no longer, and loses its tip; what the pointer isn't over hears
// nothing.
func TestScrolledAwayFromThePointer(t *testing.T) {
	test.NewTempApp(t)
	one, other := NewButton("one", "one", "a tip", nil), NewButton("other", "other", "another", nil)
	whole := NewWhole("whole", NewText("words"), nil)
	scroll := NewVScroll(Column(2, Fixed(one), Fixed(other), Fixed(whole)))
	w := test.NewTempWindow(t, scroll)
	w.Resize(fyne.NewSize(200, 40))
	one.MouseIn(&desktop.MouseEvent{})
	whole.MouseIn(&desktop.MouseEvent{})
	if !one.Pointed() || other.Pointed() || !whole.Pointed() {
		t.Fatal("the pointer is not where it was put")
	}
	scroll.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -10)})
	if scroll.Offset.Y == 0 || one.Pointed() || whole.Pointed() {
		t.Errorf("scrolled by %v, under the pointer: %v, %v", scroll.Offset.Y, one.Pointed(), whole.Pointed())
	}
}
