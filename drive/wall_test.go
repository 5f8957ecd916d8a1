package drive

import (
	"context"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"beamhelm/clock"
	"beamhelm/drive/guard"
)

// The guard of the computer's clock looks at the clock that the loop is given.
func TestWallClockOfTheLoop(t *testing.T) {
	var ahead atomic.Int64
	box := usualBox()
	c := Default()
	c.Kept.References = kept(box)
	c.Wall = func() time.Time { return clock.Now().Add(time.Duration(ahead.Load())) }
	l, err := New(&boxLine{box: box, took: 10 * time.Millisecond}, c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- l.Run(ctx) }()
	stepped := func() bool {
		s := l.Status()
		return slices.ContainsFunc(s.Findings[:s.FindingCount], func(f guard.Finding) bool {
			return f.Code == guard.ClockStepped
		})
	}
	wait := func(want bool, ticks int) bool {
		for range ticks {
			<-l.Ticked()
			if stepped() == want {
				return true
			}
		}
		return false
	}
	wait(true, 3)
	if stepped() {
		t.Error("stepped before it was")
	}
	ahead.Store(int64(5 * time.Minute))
	if !wait(true, 50) {
		t.Error("set by five minutes, and not found")
	}
	end()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
