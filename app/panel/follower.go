package panel

import (
	"sync"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/offwindow"
	"beamhelm/app/view"
	"beamhelm/ending"
)

// tickEvery is the time between two looks at the desk's status.
const tickEvery = 100 * time.Millisecond

// follower reads the newest status ten times a second and shows it. It is the
// only goroutine that touches the window from outside; each tick is one visit to
// Fyne's goroutine, waited for, so that nothing queues up there. A visit costs as
// much as all else at rest: while there is nothing to show, every other one is left out.
type follower struct {
	desk    view.Desk
	hold    *view.Hold
	eager   *atomic.Bool // something draws at each tick
	show    func(newest, shown view.Now)
	quit    func()
	ended   chan struct{}
	endOnce sync.Once
	over    atomic.Bool // the window's own loop has ended: nothing may be asked of it

	tick    uint64
	number  uint64
	changed time.Time
}

func newFollower(d view.Desk, hold *view.Hold, eager *atomic.Bool, show func(newest, shown view.Now),
	quit func()) *follower {
	return &follower{desk: d, hold: hold, eager: eager, show: show, quit: quit, ended: make(chan struct{})}
}

// start begins to follow. Its last act, once end was called, is to quit.
func (f *follower) start() {
	offwindow.Go(f.run)
}

// end ends the following.
func (f *follower) end() { f.endOnce.Do(func() { close(f.ended) }) }

func (f *follower) run() {
	ticker := time.NewTicker(tickEvery)
	defer ticker.Stop()
	f.changed = time.Now()
	for {
		select {
		case <-f.ended:
			f.leave()
			return
		case <-ticker.C:
			if f.over.Load() {
				return
			}
			ending.Here("window's other work")
			newest := f.next(time.Now())
			shown := f.hold.Next(newest)
			if !shown.New && f.tick%2 != 0 && !f.eager.Load() {
				continue
			}
			fyne.DoAndWait(func() { f.show(newest, shown) })
			f.desk.Alive()
		}
	}
}

// leave closes the window. A signal ends the window library by itself, perhaps at this very
// moment: there is nothing left to close then, and it panics when asked to.
func (f *follower) leave() {
	defer func() { _ = recover() }()
	if !f.over.Load() {
		fyne.Do(f.quit)
	}
}

// next reads the status and how long it has been silent.
func (f *follower) next(at time.Time) view.Now {
	status := f.desk.Status()
	if status.Number != f.number {
		f.number, f.changed = status.Number, at
	}
	f.tick++
	return view.At(status, f.tick, at.Sub(f.changed))
}
