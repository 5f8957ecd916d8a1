// Package ending is the one way out of the program. Every goroutine is started
// through it, so that a panic in any of them stops the dish before the program ends.
package ending

import (
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Failure is a panic.
type Failure struct {
	// Where names the goroutine, Reason is what it panicked with.
	Where  string
	Reason any
	Stack  []byte
}

// way is what a failure sets off. A process has one end, hence one way to it.
var way atomic.Pointer[func(Failure)]

// failed is true from the first failure on.
var failed atomic.Bool

// Use sets what is called at the first failure, in the goroutine that failed.
// It should end the program. Without one a panic ends the program as usual.
func Use(out func(Failure)) { way.Store(&out) }

// Go starts a goroutine. The name tells it in a failure.
func Go(name string, work func()) { go Do(name, work) }

// Do does work in the caller's goroutine, with the same way out.
func Do(name string, work func()) {
	defer func() {
		if reason := recover(); reason != nil {
			leave(Failure{name, reason, debug.Stack()})
		}
	}()
	work()
}

// leave takes the way out. Who fails after the first waits for the program's end.
func leave(f Failure) {
	out := way.Load()
	if out == nil {
		panic(f.Reason)
	}
	if !failed.CompareAndSwap(false, true) {
		select {}
	}
	(*out)(f)
}

// Group waits for goroutines that it started.
type Group struct{ all sync.WaitGroup }

// Go starts a goroutine of the group.
func (g *Group) Go(name string, work func()) {
	g.all.Add(1)
	Go(name, func() {
		defer g.all.Done()
		work()
	})
}

// Wait waits for all of them. A panic on its way through a deferred Wait goes on
// at once: the way out of the program waits for nobody.
func (g *Group) Wait() {
	if reason := recover(); reason != nil {
		panic(reason)
	}
	g.all.Wait()
}
