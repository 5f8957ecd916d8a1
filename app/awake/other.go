//go:build !linux

package awake

import (
	"errors"
	"io"
	"time"
)

// inhibit is not written for this system: set it not to sleep.
func inhibit() (io.Closer, error) { return nil, errors.ErrUnsupported }

// slept is not known on this system.
func slept() (time.Duration, bool) { return 0, false }
