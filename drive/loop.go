// Package drive runs the loop that moves the dish: it schedules ticks, has each
// decided by package step, makes the exchanges with the enclosure and publishes
// what came of it. It decides nothing itself.
package drive

import (
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"beamhelm/clock"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Config is what the loop needs to know.
type Config struct {
	Step step.Config
	// Kept is what the last session handed on; zero where there was none.
	Kept step.Kept
	// Began is the moment of the loop's time 0, for Run; an exchanger over a
	// real line must count its times from the same moment. Zero: when Run begins.
	Began time.Time
	// Wall is the computer's clock, for Run; nil: that of package clock.
	Wall func() time.Time
}

// Default returns the configuration of package step, with nothing kept.
func Default() Config { return Config{Step: step.Default()} }

// Validate names field, value and limits of the first thing that cannot be used.
func (c Config) Validate() error { return c.Step.Validate() }

// Loop is the running drive. Its methods may be called from any goroutine,
// except Tick, Shut and Run, which belong to one.
type Loop struct {
	config   step.Config
	exchange Exchanger

	state      step.State
	inputs     step.Inputs
	identified step.Nanos // when it was last asked who is at the other end
	status     atomic.Pointer[step.Status]

	mu           sync.Mutex
	stops        uint64 // asked so far
	stop         bool   // one of them waits for the next tick
	commands     []step.Command
	course       step.Course
	renewed      bool
	surroundings Surroundings
	events       []step.Event

	began    time.Time
	wall     func() time.Time
	wake     chan struct{}
	ticked   chan struct{}
	stopping atomic.Bool // a Stop waits
	atRest   atomic.Bool // the enclosure accepted zero drive and power off as the last thing
	readings cycle
	lateness histogram
	recorder recorder
}

// Surroundings is what the loop is told of the world beyond the enclosure.
type Surroundings struct {
	// Sun as the axes would have to point, valid with HasSun.
	Sun    mount.AxisAngles
	HasSun bool
	// ClockOffset of the system's clock against a time source, valid with HasClockOffset.
	ClockOffset    time.Duration
	HasClockOffset bool
}

// New returns a loop over an exchanger. It opens and sends nothing.
func New(x Exchanger, c Config) (*Loop, error) {
	if err := c.Validate(); err != nil {
		return nil, fmt.Errorf("drive loop: %w", err)
	}
	l := &Loop{config: c.Step, exchange: x, began: c.Began, wall: c.Wall, wake: make(chan struct{}, 1),
		ticked: make(chan struct{}, 1)}
	if l.wall == nil {
		l.wall = clock.Now
	}
	l.state = step.New(&l.config, c.Kept)
	l.inputs.Readings = enclosure.NoReadings()
	l.publish()
	l.recorder.begin(l.config)
	return l, nil
}

// SetSurroundings tells the loop of the world beyond the enclosure.
func (l *Loop) SetSurroundings(o Surroundings) {
	l.mu.Lock()
	l.surroundings = o
	l.mu.Unlock()
}

// Status is the newest status. It is never changed once published.
func (l *Loop) Status() *step.Status { return l.status.Load() }

// Ticked has something whenever a status newer than the last that was taken notice of is published. One may listen.
func (l *Loop) Ticked() <-chan struct{} { return l.ticked }

// AtRest reports that the loop has ended, and that the enclosure accepted zero
// drive and power off as its last demand.
func (l *Loop) AtRest() bool { return l.atRest.Load() }

// maxEvents is the number of events that the loop keeps.
const maxEvents = 4096

// EventsSince returns the events with numbers above the given one, oldest first.
func (l *Loop) EventsSince(number uint64) []step.Event {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i, e := range l.events {
		if e.Number > number {
			return append([]step.Event(nil), l.events[i:]...)
		}
	}
	return nil
}

// TripRecord returns the record of the newest trip, or of the last minute where
// there was none yet.
func (l *Loop) TripRecord() Record {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.recorder.newest()
}
