// Package memory keeps the program small at little cost. The C library's allocator, which the graphics library draws
// with, keeps what a frame frees for the next one, and gives the rest back to the system now and then; Go's garbage is
// collected sooner than by itself.
package memory

import (
	"context"
	"os"
	"runtime/debug"
	"time"

	"beamhelm/ending"
)

// giveBackEvery is how often freed memory goes back to the system. What is given back has to be cleared
// and fetched page by page when it is wanted again: 5 MB a frame, where glibc does it after each frame.
const giveBackEvery = 15 * time.Second

// collectAt is how much of what is in use may be thrown away before it is collected, percent, where GOGC doesn't say:
// half of Go's own 100. At rest that is a collection of 12 ms every 4 s in place of every 8 s.
const collectAt = 50

// Run gives freed memory back to the system until the context ends.
func Run(ctx context.Context) {
	keep()
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
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
