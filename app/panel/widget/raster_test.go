package widget

import (
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// counted counts how often it is refreshed.
type counted struct {
	canvas.Rectangle
	refreshed int
}

func (c *counted) Refresh() { c.refreshed++ }

// A picture that changes while its window is not known is redrawn as soon as it is, once; one that is shown
// no more is forgotten.
func TestRedrawMissed(t *testing.T) {
	m := missedPictures{at: map[fyne.CanvasObject]time.Time{}}
	var lamp, closed counted
	known := map[fyne.CanvasObject]bool{}
	shown := func(o fyne.CanvasObject) bool { return known[o] }
	start := time.Unix(1_800_000_000, 0)

	m.redraw(&lamp, shown, start)
	m.redraw(&closed, shown, start)
	m.again(shown, start.Add(time.Second))
	if lamp.refreshed != 1 || len(m.at) != 2 {
		t.Fatalf("refreshed %d times while its window was not known, %d remembered", lamp.refreshed, len(m.at))
	}
	known[&lamp] = true
	m.again(shown, start.Add(2*time.Second))
	m.again(shown, start.Add(3*time.Second))
	if lamp.refreshed != 2 {
		t.Errorf("refreshed %d times, once at the change and once when its window was known again", lamp.refreshed)
	}
	m.redraw(&lamp, shown, start.Add(4*time.Second))
	if lamp.refreshed != 3 || len(m.at) != 1 {
		t.Errorf("with its window known: refreshed %d times, %d remembered", lamp.refreshed, len(m.at))
	}
	if m.again(shown, start.Add(missedFor)); len(m.at) != 0 || closed.refreshed != 1 {
		t.Errorf("shown no more: %d remembered, refreshed %d times", len(m.at), closed.refreshed)
	}
}
