//go:build window

package endtoend

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// quiet watches for a while that nothing moves, starts or is stopped, and that the window says the same of the dish.
func quiet(t *testing.T, e *enclosure, p *panel, lasts time.Duration) {
	t.Helper()
	activity, power, from := p.look().Controls["activity"].Words, e.now().power, time.Now()
	for time.Since(from) < lasts {
		l := p.look()
		if got := l.Controls["activity"].Words; got != activity {
			t.Fatalf("%q became %q", activity, got)
		}
		if words := l.Controls["stop-state"].Words; words == "stop requested" {
			t.Fatal("a stop was requested")
		}
		for _, name := range []string{"release", "confirm-slew", "cancel-start"} {
			if visible(name)(l) {
				t.Fatalf("%s is offered", name)
			}
		}
		if line := e.now(); line.driven() || line.power != power {
			t.Fatalf("the dish: %+v", line)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// TestKeysAtRest: Enter in the sheets of the reference changes no position, Esc
// only closes, and letters typed right after a dialog start nothing.
func TestKeysAtRest(t *testing.T) {
	e, p := openBoth(t, t.TempDir(), underTheMoon(t), nil)
	keys := openKeyboard(t)
	p.powerOn(e)
	closed := func(name string) {
		t.Helper()
		p.await(5*time.Second, name+" to close", func(l layout) bool { return !visible(name)(l) })
	}

	before := p.look().Controls
	p.click("reference-button")
	p.await(5*time.Second, "the keyboard on Close", focused("reference-close"))
	undone := p.look().Controls["reference-undone"].Words
	p.click("reference-beam")
	p.await(5*time.Second, "the keyboard on Cancel", focused("position-cancel"))
	keys.press(t, "Return")
	closed("position-dialog")
	keys.press(t, "Return")
	if p.await(5*time.Second, "an answer", func(l layout) bool {
		return visible("position-dialog")(l) || !visible("reference-dialog")(l)
	}); visible("position-dialog")(p.look()) { // the keyboard was given back to the button that opened it
		p.await(5*time.Second, "the keyboard on Cancel again", focused("position-cancel"))
		keys.press(t, "Escape")
		closed("position-dialog")
		keys.press(t, "Escape")
	}
	closed("reference-dialog")
	quiet(t, e, p, time.Second)
	p.click("reference-button")
	p.await(5*time.Second, "nothing new to undo", func(
		l layout) bool {
		return l.Controls["reference-undone"].Words == undone
	})
	p.await(5*time.Second, "the keyboard on Close", focused("reference-close"))
	keys.press(t, "Return")
	closed("reference-dialog")
	for _, name := range []string{"azimuth-position", "elevation-position"} {
		if got := p.look().Controls[name].Words; got != before[name].Words {
			t.Errorf("%s was %s and is %s", name, before[name].Words, got)
		}
	}

	for _, open := range [][2]string{{"place-button", "place-dialog"}, {"stow", "stow-menu"},
		{"source-select", "source-list"}} {
		p.clickUntil(open[0], open[1], visible(open[1]))
		keys.press(t, "Escape")
		for _, letter := range strings.Split("t h b o p m s x q", " ") {
			keys.press(t, letter)
		}
		closed(open[1])
		quiet(t, e, p, time.Second)
	}
}

// TestTargetChangeIsConfirmed: another target while tracking moves the dish only after Confirm.
func TestTargetChangeIsConfirmed(t *testing.T) {
	s := underTheMoon(t)
	e, p := openBoth(t, t.TempDir(), s, nil)
	p.powerOn(e)
	p.click("moon")
	p.click("track")
	onMoon := func(l truthLine) bool {
		az, el := moonAt(t, s, l.arrived)
		return apart(l.az, l.el, az, el) < 0.3
	}
	e.until(90*time.Second, "the beam on the Moon", onMoon)

	az, _ := moonAt(t, s, time.Now())
	to := [2]float64{az + 40, 45}
	p.click("place-button")
	p.fill("place-az-entry", fmt.Sprintf("%.1f", to[0]))
	p.fill("place-el-entry", fmt.Sprintf("%.1f", to[1]))
	p.click("place-go")
	p.await(5*time.Second, "the question", visible("confirm-slew"))
	for from := time.Now(); time.Since(from) < 2*time.Second; {
		if !onMoon(e.now()) {
			t.Fatal("the dish left the Moon before it was confirmed")
		}
	}
	if !visible("confirm-slew")(p.look()) {
		p.click("place-button") // it lapsed on a slow machine
		p.click("place-go")
	}
	p.click("confirm-slew")
	e.until(90*time.Second, "the beam at the place",
		func(l truthLine) bool { return apart(l.az, l.el, to[0], to[1]) < 0.5 })
}
