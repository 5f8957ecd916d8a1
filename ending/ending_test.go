package ending

import (
	"strings"
	"testing"
	"time"
)

// The first panic takes the way out, with what panicked and where; what the
// goroutine had deferred has run by then.
func TestAPanicTakesTheWayOut(t *testing.T) {
	failures := make(chan Failure, 2)
	undone := false
	Use(func(f Failure) { failures <- f })
	Go("one", func() {
		defer func() { undone = true }()
		panic("broken")
	})
	f := <-failures
	if f.Where != "one" || f.Reason != "broken" || !strings.Contains(string(f.Stack), "TestAPanicTakesTheWayOut") ||
		!undone {
		t.Errorf("%q, %v, deferred %v, stack %s", f.Where, f.Reason, undone, f.Stack)
	}
	var g Group
	ended := false
	g.Go("two", func() { ended = true })
	g.Wait()
	if !ended {
		t.Error("the group did not wait")
	}
}

// A panic reaches the way out while the goroutines of a group, which a deferred
// Wait would wait for, are still at work.
func TestAPanicWaitsForNoGroup(t *testing.T) {
	failed.Store(false)
	failures := make(chan Failure, 1)
	Use(func(f Failure) { failures <- f })
	release := make(chan struct{})
	defer close(release)
	Go("owner", func() {
		var g Group
		defer g.Wait()
		g.Go("at work", func() { <-release })
		panic("broken")
	})
	select {
	case f := <-failures:
		if f.Where != "owner" || f.Reason != "broken" ||
			!strings.Contains(string(f.Stack), "TestAPanicWaitsForNoGroup") {
			t.Errorf("%q, %v, stack %s", f.Where, f.Reason, f.Stack)
		}
	case <-time.After(5 * time.Second):
		t.Error("the panic waits for the group")
	}
}
