// Package offwindow does beside the window's goroutine what may take long or
// never end: files, ports, other programs, name look-ups. The window draws and
// hears Esc meanwhile, whatever hangs.
package offwindow

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/ending"
)

// Usual is the time within which a disk or a port should have answered.
const Usual = 10 * time.Second

// ErrNoAnswer says that the time was up. What was asked for may still happen:
// a system call that hangs can't be taken back.
var ErrNoAnswer = errors.New("no answer")

// Context is handed to work that runs beside the window. Only Do makes one, so
// a function that wants one isn't called on the window's goroutine.
type Context struct{ context.Context }

// EndedBy is the same context, which another one ends too. It must be released.
func (c Context) EndedBy(other context.Context) (also Context, release func()) {
	ctx, cancel := context.WithCancel(c.Context)
	stop := context.AfterFunc(other, cancel)
	return Context{ctx}, func() {
		stop()
		cancel()
	}
}

// Job is one thing at a time that a sheet or a pane has done beside the window.
// Its zero is ready. Its methods and Do are for the window's goroutine.
type Job struct {
	// Mark, if any, hears when work begins and ends: a busy mark.
	Mark func(busy bool)

	cancel context.CancelFunc // nil while nothing is under way
	number uint64             // of the newest work
	stuck  atomic.Int32       // how much work hasn't come back yet
}

// maxStuck is how many things may hang at a time before no more are begun.
const maxStuck = 3

// Busy says whether something is under way.
func (j *Job) Busy() bool { return j.cancel != nil }

// Cancel drops what is under way: its context ends, and nobody hears of it any more.
func (j *Job) Cancel() {
	if j.Busy() {
		j.cancel()
		j.over()
	}
}

func (j *Job) over() {
	j.cancel = nil
	j.number++
	j.mark(false)
}

func (j *Job) mark(busy bool) {
	if j.Mark != nil {
		j.Mark(busy)
	}
}

// outcome is what came of work.
type outcome[T any] struct {
	value T
	err   error
}

// Do has work done beside the window, and then, on the window's goroutine, says
// what came of it: ErrNoAnswer where it took longer than within. It returns false,
// and does nothing, while the job is busy.
func Do[T any](j *Job, within time.Duration, work func(Context) (T, error), then func(T, error)) bool {
	if j.Busy() {
		return false
	}
	if j.stuck.Load() >= maxStuck {
		var none T
		then(none, fmt.Errorf("%w: what was asked for before hangs", ErrNoAnswer))
		return true
	}
	ctx, cancel := context.WithTimeout(context.Background(), within)
	j.cancel = cancel
	number := j.number
	j.mark(true)
	done := make(chan outcome[T], 1)
	j.stuck.Add(1)
	Go(func() {
		defer j.stuck.Add(-1)
		value, err := work(Context{ctx})
		done <- outcome[T]{value, err}
	})
	Go(func() {
		defer cancel()
		var o outcome[T]
		select {
		case o = <-done:
		case <-ctx.Done():
			o.err = fmt.Errorf("%w within %v", ErrNoAnswer, within)
		}
		if errors.Is(ctx.Err(), context.Canceled) {
			return
		}
		fyne.Do(func() {
			if j.number == number && j.Busy() {
				j.over()
				then(o.value, o.err)
			}
		})
	})
	return true
}

// Go starts a goroutine of the window. It is the only place where one begins.
func Go(work func()) { ending.Go("window's other work", work) }
