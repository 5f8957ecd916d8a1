// Package memory has the C library's allocator, which the graphics library draws with, keep what is freed within a
// frame for the next one, and give the rest back to the system now and then.
package memory

import (
	"context"
	"time"

	"beamhelm/ending"
)

// giveBackEvery is how often freed memory goes back to the system. What is given back has to be cleared
// and fetched page by page when it is wanted again: 5 MB a frame, where glibc does it after each frame.
const giveBackEvery = time.Minute

// Run gives freed memory back to the system until the context ends.
func Run(ctx context.Context) {
	keep()
	ticker := time.NewTicker(giveBackEvery)
	defer ticker.Stop()
	for {
		ending.Here("memory")
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
			giveBack()
		}
	}
}
