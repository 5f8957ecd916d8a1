package awake

import (
	"context"
	"errors"
	"io"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/app/desk"
)

// world is a desk, a login manager and clocks.
type world struct {
	mu     sync.Mutex
	status desk.Status
	asked  []desk.Order
	held   int
	tries  int
	slept  time.Duration
	err    error
}

func (w *world) Status() *desk.Status {
	w.mu.Lock()
	defer w.mu.Unlock()
	s := w.status
	return &s
}

func (w *world) Ask(o desk.Order) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.asked = append(w.asked, o)
}

func (w *world) inhibit() (io.Closer, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.tries++
	if w.err != nil {
		return nil, w.err
	}
	w.held++
	return w, nil
}

func (w *world) Close() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.held--
	return nil
}

func (w *world) sleeps() (time.Duration, bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.slept, true
}

// change changes the world, lets two looks pass, and judges it.
func (w *world) change(t *testing.T, what string, do func(), want func() bool) {
	t.Helper()
	w.mu.Lock()
	do()
	w.mu.Unlock()
	time.Sleep(2 * lookEvery)
	synctest.Wait()
	w.mu.Lock()
	defer w.mu.Unlock()
	if !want() {
		t.Errorf("%s: held %d, tries %d, asked %v", what, w.held, w.tries, w.asked)
	}
}

func TestAwakeWhileNeeded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := &world{}
		ctx, end := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { run(ctx, w, w.inhibit, w.sleeps); close(done) }()
		w.change(t, "at rest", func() {}, func() bool { return w.held == 0 && w.tries == 0 })
		w.change(t, "tracking", func() { w.status.Activity = desk.Tracking }, func() bool { return w.held == 1 })
		w.change(t, "slept while tracking", func() { w.slept = 90 * time.Second }, func() bool {
			return len(w.asked) == 2 && w.asked[0] == desk.Stop{} && w.asked[1] == desk.Slept{Seconds: 90}
		})
		w.change(t, "holding", func() { w.status.Activity = desk.Holding }, func() bool { return w.held == 0 })
		w.change(t, "slept at rest", func() { w.slept += time.Hour }, func() bool { return len(w.asked) == 2 })
		w.change(t, "no login manager: tried once for a need",
			func() { w.err, w.tries, w.status.Moving = errors.New("no bus"), 0, true },
			func() bool { return w.tries == 1 })
		w.change(t, "still", func() { w.status.Moving = false }, func() bool { return w.tries == 1 })
		w.change(t, "armed", func() { w.err, w.status.Armed.Has = nil, true }, func() bool { return w.held == 1 })
		end()
		<-done
		if w.held != 0 {
			t.Error("the lock is held after the end")
		}
	})
}

// The clocks of this system: sleep never shrinks, and is none while the test runs.
func TestClocks(t *testing.T) {
	first, known := slept()
	if !known {
		return // not known on this system: nothing is said of sleep there
	}
	time.Sleep(20 * time.Millisecond)
	if second, _ := slept(); second < first-minSleep || second-first > minSleep {
		t.Errorf("slept %v and then %v", first, second)
	}
}
