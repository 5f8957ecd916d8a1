package panel

import (
	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// asking is the desk as the window asks it: it keeps when something was last asked.
type asking struct {
	view.Desk
	window *Window
	any    bool
	at     uint64 // the tick
	// held says that an order was held back at the tick heldAt; see holdsBack.
	held   bool
	heldAt uint64
	// refusedAt is 1 more than the tick at which a replay ended by an order; 0 where none has.
	refusedAt uint64
}

// Ask implements view.Desk.
func (a *asking) Ask(o desk.Order) {
	if a.holdsBack(o) {
		return
	}
	_, stop := o.(desk.Stop)
	if !stop {
		a.any, a.at = true, a.window.now.Tick
	}
	if stop || desk.NeedsLive(o) {
		a.refusedAt = 0 // another command is sent: that one was not is no longer what counts
	}
	a.Desk.Ask(o)
}
