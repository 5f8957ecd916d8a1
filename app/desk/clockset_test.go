package desk

import (
	"slices"
	"testing"
	"time"

	"beamhelm/drive/step"
)

// tracking is a desk at which the Moon is tracked.
func tracking(t *testing.T) *bench {
	b := newBench(t)
	b.after(0)
	b.after(100*time.Millisecond, Track{On: true})
	b.after(100 * time.Millisecond)
	b.expect("follow", Tracking)
	b.after(2 * time.Second)
	return b
}

// A clock that was set by an hour moves nothing: the dish holds until Track is pressed.
func TestTheClockIsSetWhileTracking(t *testing.T) {
	for _, by := range []time.Duration{time.Hour, -time.Hour, 3 * time.Minute} {
		b := tracking(t)
		b.at = b.at.Add(by)
		b.after(100 * time.Millisecond)
		b.expect("hold", Holding)
		if b.out.HasCourse || !b.clockSet(by) {
			t.Errorf("%v: a course %v, said %v", by, b.out.HasCourse, b.out.Events)
		}
		for range 50 {
			if b.after(100 * time.Millisecond); len(b.asked) > 0 || b.out.HasCourse {
				t.Fatalf("%v: asked %q, a course %v without a press", by, b.kinds(), b.out.HasCourse)
			}
		}
		b.after(100*time.Millisecond, Track{On: true})
		b.expect("follow", Tracking)
	}
}

// What a time source corrects at a start is followed.
func TestTheClockIsCorrectedWhileTracking(t *testing.T) {
	b := tracking(t)
	b.at = b.at.Add(20 * time.Second)
	b.after(time.Second)
	b.expect("", Tracking)
	if b.loop.Mode != step.Following || !b.out.HasCourse {
		t.Errorf("mode %v, a course %v", b.loop.Mode, b.out.HasCourse)
	}
}

// clockSet reports that the clock was said to be set by so much.
func (b *bench) clockSet(by time.Duration) bool {
	return slices.ContainsFunc(b.out.Events, func(e Event) bool {
		return e.Words.Code == "desk.clock-set" && e.Words.Args[0].(time.Duration).Round(time.Second) == by
	})
}
