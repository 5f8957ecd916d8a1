//go:build !planted

package clock

import "time"

// Now is time.Now.
func Now() time.Time { return time.Now() }
