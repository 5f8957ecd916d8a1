package widget

import (
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/offwindow"
)

// Times of press-and-hold. A jog order lives three renewals, so that one lost
// renewal is no stutter and a dead window ends the motion.
const (
	HoldAfter  = 350 * time.Millisecond
	RenewEvery = 100 * time.Millisecond
)

// Hold tells a tap from a press that lasts. A press shorter than HoldAfter calls
// Tap when it ends; a longer one calls Renew every RenewEvery until it ends.
// All methods and both calls are on Fyne's goroutine: when that is stuck, no
// renewal goes out.
type Hold struct {
	// Tap is called at the end of a short press.
	Tap func()
	// Renew is called again and again while a long press lasts.
	Renew func()

	down bool
	held bool
	stop chan struct{}
}

// Down begins a press; a press that lasts already is left alone (keys repeat).
func (h *Hold) Down() {
	if h.down {
		return
	}
	h.down, h.held = true, false
	h.stop = make(chan struct{})
	stop := h.stop
	offwindow.Go(func() { h.wait(stop) })
}

// Up ends a press: a short one is a tap.
func (h *Hold) Up() {
	tap := h.down && !h.held
	h.End()
	if tap {
		h.Tap()
	}
}

// End ends a press without a tap: the focus is gone, or Esc was pressed.
func (h *Hold) End() {
	if !h.down {
		return
	}
	h.down = false
	close(h.stop)
}

// Pressed says whether a press lasts.
func (h *Hold) Pressed() bool { return h.down }

// Held says whether a press has lasted long enough to be no tap.
func (h *Hold) Held() bool { return h.down && h.held }

// wait keeps the time of one press. It hands at most one renewal at a time to
// Fyne's goroutine.
func (h *Hold) wait(stop chan struct{}) {
	ticker := time.NewTicker(HoldAfter)
	defer ticker.Stop()
	for first := true; ; first = false {
		select {
		case <-stop:
			return
		case <-ticker.C:
		}
		if first {
			ticker.Reset(RenewEvery)
		}
		fyne.DoAndWait(func() {
			if h.down && h.stop == stop {
				h.held = true
				h.Renew()
			}
		})
	}
}
