//go:build window

package endtoend

import (
	"testing"
	"time"
)

// openEchoPeak is openOwnEcho with a peak on the echo chosen.
func openEchoPeak(t *testing.T) *panel {
	t.Helper()
	p := openOwnEcho(t)
	p.clickUntil("own-echo-peak", "five places", shows("own-echo-run", "5 places"))
	p.await(20*time.Second, "a peak that can begin", shows("own-echo-state", "Ready"))
	return p
}

// A peak on the echo is ended by Esc while it transmits beside the Moon's centre: the dish stops, nothing is
// transmitted any more, no trim is offered, and the next measurement begins with the beam on the Moon's centre.
func TestEchoPeakEndedByEsc(t *testing.T) {
	p := openEchoPeak(t)
	p.measuresUntil(100*time.Second, "a transmission beside the centre", func(l layout, _ time.Time) bool {
		return shows("own-echo-count", "Left: ")(l) && shows("own-echo-state", "Transmitting")(l)
	})
	pressed := time.Now()
	xdotool(t, "key", "--window", p.window, "Escape")
	p.await(3*time.Second, "the end of the transmission", func(l layout) bool { return !visible("own-echo-dialog")(l) })
	p.await(10*time.Second, "a stopped dish", shows("stop-state", "stopped, confirmed"))
	p.staysReceiving(pressed)
	p.clickUntil("release", "no lock-out", func(l layout) bool { return !visible("release")(l) })
	p.ownEchoOnTheMoon()
	l := p.look()
	if !shows("own-echo-count", "Stop was pressed")(l) {
		t.Errorf("of the peak it says %q", l.Controls["own-echo-count"].Words)
	}
	if visible("own-echo-apply")(l) || l.Controls["trim-cross"].Words != "0.00°" ||
		l.Controls["trim-elevation"].Words != "0.00°" {
		t.Errorf("trim %s, %s; apply is offered: %v", l.Controls["trim-cross"].Words,
			l.Controls["trim-elevation"].Words, visible("own-echo-apply")(l))
	}
}
