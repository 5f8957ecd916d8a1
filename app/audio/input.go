package audio

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"beamhelm/ending"
)

// How long an input may be silent before it counts as lost: no error tells it.
// A device that is just starting may take longer.
const (
	silentAfter   = time.Second
	silentAtStart = 4 * time.Second
)

// listensFor is how long after Listen somebody counts as listening: longer than a feed waits for its next block.
const listensFor = silentAtStart + time.Second

// again is how long after a loss it is opened again.
const again = 2 * time.Second

// InputStatus is how an input is.
type InputStatus struct {
	// Device is the one that is heard; its zero while there is none.
	Device Device
	// Trouble says why nothing is heard; empty where something is, or nothing is wanted.
	Trouble string
	// Level of what is heard.
	Level Level
	// LostFrames since the device was opened, zeros in their place.
	LostFrames int64
}

// Input hears one device until its end, and finds it again whenever it was
// lost. Its methods may be called from any goroutine.
type Input struct {
	system System
	hear   func(Block)

	mu      sync.Mutex
	wanted  string
	changed chan struct{} // closed when another device is wanted
	status  InputStatus
	meter   levelMeter
	until   time.Time     // when nobody listens any more
	listens chan struct{} // told when somebody begins to
}

// NewInput returns an input that hears a device, by its ID or name; empty: none.
// hear, called on the input's own goroutine, may take some milliseconds.
func NewInput(system System, wanted string, hear func(Block)) *Input {
	return &Input{system: system, wanted: wanted, hear: hear, changed: make(chan struct{}),
		listens: make(chan struct{}, 1)}
}

// Listen says that somebody listens, for the next five seconds: who goes on listening says so again. It is what
// opens a device that is heard on demand; every other is open all the time.
func (i *Input) Listen() {
	i.mu.Lock()
	defer i.mu.Unlock()
	i.until = time.Now().Add(listensFor)
	select {
	case i.listens <- struct{}{}:
	default:
	}
}

func (i *Input) listened() bool {
	i.mu.Lock()
	defer i.mu.Unlock()
	return time.Now().Before(i.until)
}

// Choose hears another device from now on; empty: none.
func (i *Input) Choose(wanted string) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if wanted != i.wanted {
		i.wanted = wanted
		close(i.changed)
		i.changed = make(chan struct{})
	}
}

// Wanted is what Choose was last called with.
func (i *Input) Wanted() string {
	wanted, _ := i.want()
	return wanted
}

func (i *Input) want() (string, <-chan struct{}) {
	i.mu.Lock()
	defer i.mu.Unlock()
	return i.wanted, i.changed
}

// Status returns how the input is.
func (i *Input) Status() InputStatus {
	i.mu.Lock()
	defer i.mu.Unlock()
	s := i.status
	s.Level = i.meter.level
	return s
}

func (i *Input) set(change func(*InputStatus)) {
	i.mu.Lock()
	defer i.mu.Unlock()
	change(&i.status)
}

// Run hears until the context ends.
func (i *Input) Run(ctx context.Context) {
	for ctx.Err() == nil {
		ending.Here("receiver audio")
		wanted, changed := i.want()
		var pause <-chan time.Time
		if wanted != "" {
			err := i.session(ctx, wanted, changed)
			i.set(func(s *InputStatus) { *s = InputStatus{} })
			if err != nil {
				i.set(func(s *InputStatus) { s.Trouble = fmt.Sprintf("receiver audio, %s: %v", wanted, err) })
				pause = time.After(again)
			} else {
				continue
			}
		}
		select {
		case <-ctx.Done():
		case <-changed:
			i.set(func(s *InputStatus) { *s = InputStatus{} })
		case <-pause:
		}
	}
}

// errLost says that a device fell silent.
var errLost = errors.New("nothing comes from the device any more: is it unplugged?")

// arrival is what the sound system handed over.
type arrival struct {
	at      time.Time
	samples []float32
}

// arrivals hands blocks from the sound system's own thread to the input's goroutine. It never waits.
type arrivals struct {
	full chan arrival
	free chan []float32
}

func newArrivals() *arrivals {
	a := &arrivals{make(chan arrival, 150), make(chan []float32, 150)}
	for range cap(a.free) {
		a.free <- make([]float32, InputFrames)
	}
	return a
}

// got takes a block in; where nobody fetched seconds of them, it is dropped, and the axis will show the loss.
func (a *arrivals) got(samples []float32) {
	at := time.Now()
	for len(samples) > 0 {
		n := min(len(samples), InputFrames)
		select {
		case room := <-a.free:
			// The whole came at one moment: its parts were complete before.
			a.full <- arrival{at.Add(-lasts(int64(len(samples) - n))), append(room[:0], samples[:n]...)}
		default:
		}
		samples = samples[n:]
	}
}

// session hears a device from its opening to its end. No error: another one is wanted, or the end.
func (i *Input) session(ctx context.Context, wanted string, changed <-chan struct{}) error {
	devices, err := Inputs(ctx, i.system)
	if err != nil {
		return err
	}
	device, err := Find(devices, wanted)
	if err != nil {
		return err
	}
	if device.OnDemand && !i.awaitListener(ctx, device, changed) {
		return nil
	}
	come := newArrivals()
	stream, err := open(ctx, func() (Stream, error) { return i.system.Capture(device.ID, come.got) })
	if err != nil {
		return err
	}
	defer shut(stream)
	i.mu.Lock()
	i.status, i.meter = InputStatus{}, levelMeter{}
	i.mu.Unlock()
	times := newAxis(InputFrames)
	patience := time.NewTimer(silentAtStart)
	defer patience.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-changed:
			return nil
		case <-patience.C:
			return errLost
		case a := <-come.full:
			patience.Reset(silentAfter)
			i.take(device, &times, a)
			come.free <- a.samples
			if device.OnDemand && !i.listened() {
				return nil
			}
		}
	}
}

// awaitListener waits until somebody listens; false: another device is wanted, or the end.
func (i *Input) awaitListener(ctx context.Context, device Device, changed <-chan struct{}) bool {
	i.set(func(s *InputStatus) { *s = InputStatus{Device: device} })
	for !i.listened() {
		select {
		case <-ctx.Done():
			return false
		case <-changed:
			return false
		case <-i.listens:
		}
	}
	return true
}

// take hands one block on, and zeros before it in place of what was lost.
func (i *Input) take(device Device, times *axis, a arrival) {
	at, lost := times.passed(a.at, len(a.samples))
	for left := lost; left > 0; left -= InputFrames {
		n := min(left, InputFrames)
		i.hear(Block{At: at.Add(-lasts(left)), Samples: make([]float32, n), Filled: true})
	}
	i.hear(Block{At: at, Samples: a.samples})
	i.mu.Lock()
	defer i.mu.Unlock()
	i.status.Device, i.status.Trouble = device, ""
	i.status.LostFrames += lost
	i.meter.take(a.samples)
}
