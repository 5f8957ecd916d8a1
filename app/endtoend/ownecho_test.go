//go:build window

package endtoend

import (
	"strings"
	"testing"
	"time"
)

// A measurement of the own echo in practice, worked by the pointer: it says first what it will do, requests the
// permit, transmits, and finds the echo that the simulated Moon returns, near what the budget says. Esc in a
// transmission of a second run drops the key, and nothing is transmitted any more.
func TestOwnEchoInPractice(t *testing.T) {
	p := openOwnEcho(t)
	l := p.look()
	for name, words := range map[string]string{"own-echo-run": "of transmission", "own-echo-dials": "Set the dials",
		"own-echo-expected": "Expected", "own-echo-care": "local rules"} {
		if !strings.Contains(l.Controls[name].Words, words) {
			t.Errorf("%s says %q", name, l.Controls[name].Words)
		}
	}
	for !shows("own-echo-cycles", "5 cycles")(p.look()) {
		before := p.look().Controls["own-echo-cycles"].Words
		p.clickUntil("own-echo-cycles", "another number",
			func(l layout) bool { return l.Controls["own-echo-cycles"].Words != before })
	}
	p.measuresUntil(75*time.Second, "an echo", func(l layout, _ time.Time) bool {
		return shows("own-echo-head", "Echo found,")(l)
	})
	p.await(10*time.Second, "the end", shows("own-echo-state", "Ready"))
	p.await(5*time.Second, "the result among the earlier ones", shows("own-echo-before-0", "dB"))
	p.measuresUntil(30*time.Second, "a transmission", func(l layout, _ time.Time) bool {
		return shows("own-echo-state", "Transmitting")(l)
	})
	pressed := time.Now()
	xdotool(t, "key", "--window", p.window, "Escape")
	p.await(3*time.Second, "the end of the transmission", func(l layout) bool { return !visible("own-echo-dialog")(l) })
	t.Logf("the sheet was gone %v after Esc", time.Since(pressed))
	p.staysReceiving(pressed)
}
