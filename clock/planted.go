//go:build planted

package clock

import (
	"sync/atomic"
	"time"
)

// by is how far the clock was set.
var by atomic.Int64

// Set sets this program's clock forward by some time, or back.
func Set(forward time.Duration) { by.Add(int64(forward)) }

// Now is time.Now by the clock as it was set. Its monotonic reading means nothing.
func Now() time.Time { return time.Now().Round(0).Add(time.Duration(by.Load())) }
