//go:build long && !race

package rehearse

import (
	"runtime"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
)

// A week of virtual time: each day the dish is checked, tracks the Moon as long
// as it is up, and parks. Nothing trips, no reference and no link is lost, memory stays level.
func TestAWeek(t *testing.T) {
	w := evening(t, 0, 0)
	heap := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / (1 << 20)
	}
	after := [2]float64{}
	tracked := time.Duration(0)
	for day := range 7 {
		w.Desk.Ask(desk.Hold{})
		w.pass(time.Minute)
		if r := w.checked(t, false); r.Grade >= desk.Warning {
			t.Errorf("day %d: %s", day, r.Verdict)
		}
		w.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}})
		w.pass(time.Second)
		until := w.now + 24*time.Hour - 10*time.Minute
		for w.now < until {
			if s := w.Desk.Status(); s.Activity != desk.Tracking && s.Activity != desk.Slewing &&
				s.Activity != desk.Waiting && s.Target.Up && s.Target.El.Deg() > 3 {
				w.Desk.Ask(desk.Track{On: true})
			}
			w.pass(time.Minute)
			switch s := w.Desk.Status(); {
			case s.Lock.Locked:
				t.Fatalf("day %d, %v: %s; %s", day, s.At, s.Lock.Cause,
					strings.Join(w.events[max(0, len(w.events)-20):], "\n"))
			case !s.Axes[0].Trusted || !s.Axes[1].Trusted:
				t.Fatalf("day %d, %v: not referenced any more; %s", day, s.At,
					strings.Join(w.events[max(0, len(w.events)-20):], "\n"))
			case s.Activity == desk.Tracking:
				tracked += time.Minute
			}
		}
		w.events = nil
		switch day {
		case 1:
			after[0] = heap()
		case 6:
			after[1] = heap()
		}
	}
	t.Logf("tracked for %v of a week; heap %.1f MiB after two days, %.1f after seven", tracked, after[0], after[1])
	if tracked < 60*time.Hour {
		t.Errorf("it tracked only for %v", tracked)
	}
	if after[1] > 1.3*after[0]+5 {
		t.Errorf("the heap grew from %.1f to %.1f MiB", after[0], after[1])
	}
}
