//go:build window && long

package endtoend

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// A whole peak on the echo, some minutes: the beam stops at all five places, the trim that the echo asks for is offered
// with its error, and Apply makes it the trim of the band. The trim of the simulated dish is right within the errors.
func TestEchoPeakApplied(t *testing.T) {
	p := openEchoPeak(t)
	places := map[string]bool{}
	p.measuresUntil(5*time.Minute, "a peak", func(l layout, _ time.Time) bool {
		if place, _, told := strings.Cut(l.Controls["own-echo-count"].Words, ": "); told &&
			shows("own-echo-state", "Transmitting")(l) {
			places[place] = true
		}
		return shows("own-echo-state", "Ready")(l) && shows("own-echo-head", "Applying the peak")(l)
	})
	if len(places) != 5 {
		t.Errorf("it transmitted at %v", places)
	}
	l := p.look()
	var found, within [2]float64
	for axis := range found {
		name := fmt.Sprintf("own-echo-%d", axis+1)
		figure := strings.Replace(l.Controls[name].Words, "−", "-", 1)
		if _, err := fmt.Sscanf(figure, "%f°", &found[axis]); err != nil {
			t.Fatalf("%s says %q", name, figure)
		}
		note := l.Controls[name+"-note"].Words
		if _, err := fmt.Sscanf(note, "±%f, was 0.00°", &within[axis]); err != nil {
			t.Fatalf("the note says %q", note)
		}
		t.Logf("found %s %s", figure, note)
	}
	var at control
	var since time.Time
	p.await(10*time.Second, "a button that stays where it is", func(l layout) bool {
		if now := l.Controls["own-echo-apply"]; now != at {
			at, since = now, time.Now()
		}
		return at.Enabled && time.Since(since) > time.Second
	})
	p.clickUntil("own-echo-apply", "nothing more to apply",
		func(l layout) bool { return !visible("own-echo-apply")(l) })
	l = p.await(5*time.Second, "the trim", shows("own-echo-head", "applied"))
	for axis, name := range [...]string{"trim-cross", "trim-elevation"} {
		var trim float64
		if _, err := fmt.Sscanf(strings.Replace(l.Controls[name].Words, "−", "-", 1), "%f°", &trim); err != nil ||
			math.Abs(trim-found[axis]) > 0.06 { // the figure is rounded by its error
			t.Errorf("%s says %q, found %.2f°", name, l.Controls[name].Words, found[axis])
		}
		if math.Abs(trim) > 3.5*within[axis] {
			t.Errorf("%s is %.2f°, ±%.2f: the simulated dish asks for none", name, trim, within[axis])
		}
	}
}
