package audio

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"beamhelm/ending"
)

// MaxAhead is how long before its time a sound must be given to PlayAt: what
// the output has already handed to the sound system can't be changed.
const MaxAhead = 1500 * time.Millisecond

// OutputStatus is how an output is.
type OutputStatus struct {
	// Device is the one that plays; its zero while there is none.
	Device Device
	// Trouble says why nothing plays; empty where it does.
	Trouble string
}

// Output plays zeros on a device, and sounds at given times. Its methods may be called from any goroutine.
type Output struct {
	system System
	wanted string

	mu     sync.Mutex
	status OutputStatus

	play struct { // what the sound system's thread looks at: held for microseconds
		sync.Mutex
		times  axis
		ready  bool
		sounds []sound
	}
	asked atomic.Int64 // how often the sound system asked: its silence is a loss
}

// sound is samples with the output's frame at which they begin.
type sound struct {
	from    int64
	samples []float32
}

// NewOutput returns an output on a device, by its ID or name.
func NewOutput(system System, wanted string) *Output {
	o := &Output{system: system, wanted: wanted}
	o.restart()
	return o
}

// Status returns how the output is.
func (o *Output) Status() OutputStatus {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.status
}

func (o *Output) set(s OutputStatus) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.status = s
}

// Ready says that the time axis is known, so that PlayAt can be called: some 2 s after the opening.
func (o *Output) Ready() bool {
	o.play.Lock()
	defer o.play.Unlock()
	return o.play.ready
}

// PlayAt plays samples, full scale 1, whose first is due at a moment. The moment
// is met up to the path's own delay, which is constant while the device is open.
func (o *Output) PlayAt(at time.Time, samples []float32) error {
	if ahead := time.Until(at); ahead < MaxAhead {
		return fmt.Errorf("send a tone: %v before its time, at least %v is needed", ahead.Round(time.Millisecond),
			MaxAhead)
	}
	o.play.Lock()
	defer o.play.Unlock()
	if !o.play.ready {
		return fmt.Errorf("send a tone: the output's time isn't known yet")
	}
	from := framesIn(at.Sub(o.play.times.of(0)))
	if from < o.play.times.frames {
		return fmt.Errorf("send a tone: %v have already been handed to the sound system",
			lasts(o.play.times.frames-from))
	}
	o.play.sounds = append(o.play.sounds, sound{from, slices.Clone(samples)})
	return nil
}

// Clear drops every sound that has not been handed to the sound system yet.
func (o *Output) Clear() {
	o.play.Lock()
	defer o.play.Unlock()
	o.play.sounds = nil
}

// Run plays until the context ends. A device that was lost is opened again; its sounds are dropped.
func (o *Output) Run(ctx context.Context) {
	for ctx.Err() == nil {
		ending.Here("sound output")
		err := o.session(ctx)
		o.restart()
		if ctx.Err() != nil {
			return
		}
		o.set(OutputStatus{Trouble: fmt.Sprintf("sound output, %s: %v", o.wanted, err)})
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

func (o *Output) restart() {
	o.play.Lock()
	defer o.play.Unlock()
	o.play.times, o.play.ready, o.play.sounds = newAxis(OutputFrames), false, nil
}

// session plays from a device's opening to its end.
func (o *Output) session(ctx context.Context) error {
	devices, err := Outputs(ctx, o.system)
	if err != nil {
		return err
	}
	device, err := Find(devices, o.wanted)
	if err != nil {
		return err
	}
	stream, err := open(ctx, func() (Stream, error) { return o.system.Play(device.ID, o.fill) })
	if err != nil {
		return err
	}
	defer shut(stream)
	ticker := time.NewTicker(silentAfter / 4)
	defer ticker.Stop()
	before, heard := o.asked.Load(), time.Now()
	patience := silentAtStart
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-ticker.C:
		}
		switch n := o.asked.Load(); {
		case n != before:
			before, heard, patience = n, time.Now(), 2*silentAfter
			o.set(OutputStatus{Device: device})
		case time.Since(heard) > patience:
			return errLost
		}
	}
}

// fill is called by the sound system's thread.
func (o *Output) fill(room []float32) {
	at := time.Now()
	o.asked.Add(1)
	o.play.Lock()
	defer o.play.Unlock()
	first := o.play.times.frames
	// A block that is asked for begins now, one that is heard ends now.
	_, lost := o.play.times.passed(at.Add(lasts(int64(len(room)))), len(room))
	first += lost
	o.play.ready = o.play.times.count >= readyBlocks
	next := first + int64(len(room))
	o.play.sounds = slices.DeleteFunc(o.play.sounds, func(s sound) bool {
		begin, end := max(s.from, first), min(s.from+int64(len(s.samples)), next)
		if begin < end {
			copy(room[begin-first:end-first], s.samples[begin-s.from:end-s.from])
		}
		return s.from+int64(len(s.samples)) <= next
	})
}

// readyBlocks is how many blocks of an output make its time axis: after the
// first ones, which are asked for at once to fill the sound system's own buffer.
const readyBlocks = 10
