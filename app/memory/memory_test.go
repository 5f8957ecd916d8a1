package memory

import (
	"context"
	"runtime/debug"
	"testing"
)

// Garbage is collected at half of Go's own wait, unless GOGC says when.
func TestCollectsSooner(t *testing.T) {
	before := debug.SetGCPercent(100)
	defer debug.SetGCPercent(before)
	over, end := context.WithCancel(t.Context())
	end()
	t.Setenv("GOGC", "100")
	Run(over)
	if got := debug.SetGCPercent(100); got != 100 {
		t.Errorf("with GOGC: %d", got)
	}
	t.Setenv("GOGC", "")
	Run(over)
	if got := debug.SetGCPercent(100); got != collectAt {
		t.Errorf("%d, want %d", got, collectAt)
	}
}
