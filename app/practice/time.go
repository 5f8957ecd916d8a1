package practice

import (
	"sync"
	"time"
)

// Time is the time of a simulated sky. It begins at a chosen moment and may run faster than the computer's.
// Its methods may be called from any goroutine.
type Time struct {
	elapsed func() time.Duration

	mu    sync.Mutex
	from  time.Time     // the sky's
	since time.Duration // the elapsed time at from
	scale int
}

// NewTime returns a time that runs as fast as elapsed does, which tells the time since its beginning.
func NewTime(from time.Time, elapsed func() time.Duration) *Time {
	return &Time{elapsed: elapsed, from: from, scale: 1}
}

// At is the sky's moment at an elapsed time.
func (t *Time) At(elapsed time.Duration) time.Time {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.at(elapsed)
}

// Now is the sky's moment.
func (t *Time) Now() time.Time { return t.At(t.elapsed()) }

func (t *Time) at(elapsed time.Duration) time.Time {
	return t.from.Add((elapsed - t.since) * time.Duration(t.scale))
}

// Scale is how many times as fast as the elapsed time it runs.
func (t *Time) Scale() int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.scale
}

// SetScale has it run n times as fast, at least 1, from now on.
func (t *Time) SetScale(n int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	elapsed := t.elapsed()
	t.from, t.since, t.scale = t.at(elapsed), elapsed, max(1, n)
}
