package panel

import (
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// closeAfter is how long a standstill is waited for before closing anyway is offered.
const closeAfter = 5 * time.Second

// closeSheet asks before the window is closed while something moves.
type closeSheet struct {
	words  *widget.Prose
	accept *widget.Button
	asked  uint64 // the tick at which the stop was asked; 0 before
}

// askToClose closes the window at once when nothing moves; else it asks. While a
// board's firmware is being written it only says so.
func (w *Window) askToClose() {
	if w.setup != nil && w.setup.Writing() {
		ok := widget.NewButton("OK", "close-writing", "Go on as before", nil)
		w.with.Open.ShowSheet("close-writing-dialog", "A board is being written", widget.NewProse(
			"Closing now would leave it with half of its firmware. Wait until it is done, or abort it in Set-up."),
			[]*widget.Button{ok}, ok)
		return
	}
	if !w.now.Moving && !view.Armed(w.now) {
		w.follow.end()
		return
	}
	if w.closer != nil {
		return
	}
	c := &closeSheet{words: widget.NewProse("The dish is moving, or about to.").Rows(2)}
	c.accept = widget.NewButton("Stop and close", "close-accept",
		"Stop the dish, wait until it has stopped, then close", func() {
			w.with.Desk.Ask(desk.Stop{})
			if c.asked != 0 {
				w.follow.end()
			}
			c.asked = max(w.now.Tick, 1)
		}).Looking(widget.Primary).Reserve("Close anyway")
	keep := widget.NewButton("Cancel", "close-cancel", "Go on as before", nil)
	w.closer = c
	sheet := w.with.Open.ShowSheet("close-dialog", "Close Beamhelm?",
		c.words, []*widget.Button{keep, c.accept}, keep)
	sheet.OnClosed(func() { w.closer = nil })
}

// closing closes the window once a stop that was asked for it has been confirmed.
func (w *Window) closing(now view.Now) {
	c := w.closer
	if c == nil || c.asked == 0 {
		return
	}
	waited := time.Duration(now.Tick-c.asked) * tickEvery
	switch {
	case now.Live && !now.Moving && !now.Stop.Pending() && !view.Armed(now) && waited > 0:
		w.follow.end()
	case waited >= closeAfter:
		c.words.Set("The stop is not confirmed. Look at the dish.", view.Attention)
		c.accept.Set("Close anyway", widget.Caution)
		c.accept.SetEnabled(true)
	default:
		c.words.SetWords("Stop requested: waiting until the dish has stopped.")
		c.accept.SetEnabled(false)
	}
}
