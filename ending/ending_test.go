package ending

import (
	"strings"
	"testing"
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
	if f.Where != "one" || f.Reason != "broken" || !strings.Contains(string(f.Stack), "TestAPanicTakesTheWayOut") || !undone {
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
