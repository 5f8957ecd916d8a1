//go:build window

package endtoend

import (
	"strings"
	"testing"
	"time"
)

// With practice time 60 times as fast the dish follows the Moon through an hour within a minute: nothing trips, and the
// change is no clock fault, which would end tracking. Back in real time the Moon is tracked as before.
func TestFastPractice(t *testing.T) {
	p := openPanel(t, t.TempDir(), "-practice", "-from", "2027-04-14T18:51:00Z", "-seed", "3")
	says := func(name, words string) func(layout) bool {
		return func(l layout) bool { return strings.Contains(l.Controls[name].Words, words) }
	}
	clock := func(l layout) time.Time {
		at, err := time.Parse("15:04:05", l.Controls["clock"].Words)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	p.clickUntil("track", "the way to the Moon", says("activity", "the Moon"))
	p.await(60*time.Second, "the beam on the Moon", says("activity", "Tracking the Moon"))
	p.clickUntil("practice", "the menu", visible("time-scale-60"))
	p.clickUntil("time-scale-60", "the time scale", says("practice", "Time × 60"))
	p.clickUntil("close-faults", "the window", func(l layout) bool { return !visible("time-scale-60")(l) })
	begun := clock(p.look())
	p.await(3*time.Minute, "an hour of sky", func(l layout) bool {
		if !strings.Contains(l.Controls["activity"].Words, "the Moon") {
			t.Fatalf("at %s: %s", l.Controls["clock"].Words, l.Controls["activity"].Words)
		}
		return clock(l).Sub(begun) >= time.Hour
	})
	p.clickUntil("permit", "a refusal", says("newest-event", "practice time runs faster"))
	p.clickUntil("practice", "the menu", visible("time-scale-1"))
	p.clickUntil("time-scale-1", "real time", says("practice", "simulated dish"))
	p.clickUntil("close-faults", "the window", func(l layout) bool { return !visible("time-scale-1")(l) })
	p.await(20*time.Second, "the beam on the Moon", says("activity", "Tracking the Moon"))
}
