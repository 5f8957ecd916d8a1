//go:build window

package endtoend

import (
	"strings"
	"testing"
	"time"
)

// shows reports whether a control's words hold these.
func shows(name, words string) func(layout) bool {
	return func(l layout) bool { return strings.Contains(l.Controls[name].Words, words) }
}

// openOwnEcho opens a panel in practice, with the beam on the Moon and the sheet of the own echo open, ready to begin.
func openOwnEcho(t *testing.T) *panel {
	t.Helper()
	p := openPanel(t, t.TempDir(), "-practice", "-from", "2027-04-14T18:51:00Z", "-seed", "3")
	p.ownEchoOnTheMoon()
	return p
}

// ownEchoOnTheMoon tracks the Moon, opens the sheet of the own echo and waits until a measurement can begin.
func (p *panel) ownEchoOnTheMoon() {
	p.t.Helper()
	p.clickUntil("track", "the way to the Moon", shows("activity", "the Moon"))
	p.click("pane-echo")
	p.clickUntil("echo-own", "the sheet", visible("own-echo-dialog"))
	p.await(60*time.Second, "the beam on the Moon", shows("own-echo-state", "Ready"))
}

// measuresUntil begins a measurement and waits until it has come as far as wanted, which is asked with the moment of
// the press; it returns that moment. A measurement that ends before, as one must where a computer with other work
// loses the link, is begun again, three times at most.
func (p *panel) measuresUntil(within time.Duration, what string,
	wanted func(l layout, begun time.Time) bool) (begun time.Time) {
	p.t.Helper()
	for range 4 {
		begun = time.Now()
		p.clickUntil("own-echo-start", "a run", func(l layout) bool { return l.Controls["own-echo-end"].Enabled })
		early := func(l layout) bool {
			return !l.Controls["own-echo-end"].Enabled && shows("own-echo-count", "ended early")(l)
		}
		l := p.await(within, what, func(l layout) bool { return wanted(l, begun) || early(l) })
		if !early(l) {
			return begun
		}
		p.t.Logf("begun again: %s", l.Controls["own-echo-count"].Words)
		p.await(60*time.Second, "another beginning", shows("own-echo-state", "Ready"))
	}
	p.t.Fatalf("four measurements ended before %s", what)
	return begun
}

// staysReceiving checks that nothing is transmitted after a moment: neither in the cycle under way nor in the next,
// which would begin within 6 s. The enclosure tells of the transmitter a little late.
func (p *panel) staysReceiving(since time.Time) {
	p.t.Helper()
	for gone := time.Since(since); gone < 9*time.Second; gone = time.Since(since) {
		if gone > 2*time.Second && p.look().Controls["transmit"].Words == "Transmitting" {
			p.t.Fatalf("it transmits %v later", gone)
		}
		<-time.After(50 * time.Millisecond)
	}
}
