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
	p := openPanel(t, t.TempDir(), "-practice", "-from", "2027-04-14T18:51:00Z", "-seed", "3")
	says := func(name, words string) func(layout) bool {
		return func(l layout) bool { return strings.Contains(l.Controls[name].Words, words) }
	}
	p.clickUntil("track", "the way to the Moon", says("activity", "the Moon"))
	p.click("pane-echo")
	p.clickUntil("echo-own", "the sheet", visible("own-echo-dialog"))
	p.await(60*time.Second, "the beam on the Moon", says("own-echo-state", "Ready"))
	l := p.look()
	for name, words := range map[string]string{"own-echo-run": "of transmission", "own-echo-dials": "Set the dials",
		"own-echo-expected": "Expected", "own-echo-care": "local rules"} {
		if !strings.Contains(l.Controls[name].Words, words) {
			t.Errorf("%s says %q", name, l.Controls[name].Words)
		}
	}
	for !says("own-echo-cycles", "5 cycles")(p.look()) {
		before := p.look().Controls["own-echo-cycles"].Words
		p.clickUntil("own-echo-cycles", "another number",
			func(l layout) bool { return l.Controls["own-echo-cycles"].Words != before })
	}
	p.clickUntil("own-echo-start", "a transmission", says("own-echo-state", "Transmitting"))
	p.await(60*time.Second, "an echo", says("own-echo-head", "Echo found,"))
	p.await(10*time.Second, "the end", says("own-echo-state", "Ready"))
	p.await(5*time.Second, "the result among the earlier ones", says("own-echo-before-0", "dB"))
	p.clickUntil("own-echo-start", "a transmission", says("own-echo-state", "Transmitting"))
	pressed := time.Now()
	xdotool(t, "key", "--window", p.window, "Escape")
	p.await(3*time.Second, "the end of the transmission", func(l layout) bool { return !visible("own-echo-dialog")(l) })
	t.Logf("the sheet was gone %v after Esc", time.Since(pressed))
	// The enclosure tells of the transmitter a little late. Neither this cycle nor the next, which would begin
	// within 6 s, transmits any more.
	for gone := time.Since(pressed); gone < 9*time.Second; gone = time.Since(pressed) {
		if gone > 2*time.Second && p.look().Controls["transmit"].Words == "Transmitting" {
			t.Fatalf("it transmits %v after Esc", gone)
		}
		time.Sleep(50 * time.Millisecond)
	}
}
