package audio

import (
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"sync"
	"time"

	"beamhelm/app/audio/spectrum"
)

// Receiver is the receiver's audio: one input, and its newest minutes on a tape.
type Receiver struct {
	*Input
	system  System
	tape    Tape
	filter  *spectrum.Decimator
	lowered []float32

	mu    sync.Mutex
	feeds []*feed
}

// NewReceiver returns the audio of an input, by its ID or name; empty: none.
func NewReceiver(system System, wanted string) *Receiver {
	r := &Receiver{system: system, filter: spectrum.NewDecimator()}
	r.Input = NewInput(system, wanted, r.hear)
	return r
}

// Tape holds the newest minutes.
func (r *Receiver) Tape() *Tape { return &r.tape }

// Inputs are those that there are now, in the order in which they are offered. It takes some seconds at most.
func (r *Receiver) Inputs(ctx context.Context) ([]Device, error) { return Inputs(ctx, r.system) }

// Outputs are those that there are; it may take seconds.
func (r *Receiver) Outputs(ctx context.Context) ([]Device, error) { return Outputs(ctx, r.system) }

// TestTone plays a short tone on an output, by its ID or name; it returns when the tone is over. It keys nothing.
func (r *Receiver) TestTone(ctx context.Context, wanted string) error {
	return testTone(ctx, r.system, wanted)
}

// filterDelay is by how much a sample of the tape is later than what it tells of:
// the filter's delay, less the samples that complete it.
const filterDelay = time.Duration((spectrum.DelaySamples*spectrum.Factor -
	(spectrum.Factor - 1)) * float64(time.Second) / Rate)

// hear takes a block in.
func (r *Receiver) hear(b Block) {
	r.lowered = r.filter.Lower(b.Samples, r.lowered[:0])
	r.tape.append(b.At.Add(-filterDelay), r.lowered)
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, f := range r.feeds {
		f.put(b.Samples)
	}
}

// Feed are the samples as they come, Rate a second, 16 bits, little end first: what a
// noise meter reads. Where nothing comes for some seconds it ends with the reason.
func (r *Receiver) Feed() io.ReadWriteCloser {
	f := &feed{receiver: r, blocks: make(chan []byte, 2*Rate/InputFrames), ended: make(chan struct{})}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.feeds = append(r.feeds, f)
	return f
}

// feed is one listener's.
type feed struct {
	receiver *Receiver
	blocks   chan []byte
	ended    chan struct{}
	once     sync.Once
	rest     []byte
}

// put hands samples over; where they aren't fetched they are dropped.
func (f *feed) put(samples []float32) {
	raw := make([]byte, 2*len(samples))
	for i, x := range samples {
		v := int16(math.Round(float64(max(-1, min(1, x))) * math.MaxInt16))
		binary.LittleEndian.PutUint16(raw[2*i:], uint16(v))
	}
	select {
	case f.blocks <- raw:
	default:
	}
}

// Read implements io.Reader.
func (f *feed) Read(p []byte) (int, error) {
	f.receiver.Listen()
	if len(f.rest) == 0 {
		timer := time.NewTimer(silentAtStart)
		defer timer.Stop()
		select {
		case f.rest = <-f.blocks:
		case <-f.ended:
			return 0, io.EOF
		case <-timer.C:
			if why := f.receiver.Status().Trouble; why != "" {
				return 0, errors.New(why)
			}
			return 0, errors.New("nothing is heard")
		}
	}
	n := copy(p, f.rest)
	f.rest = f.rest[n:]
	return n, nil
}

// Write implements io.Writer: there is nothing to be told.
func (f *feed) Write([]byte) (int, error) { return 0, errors.New("an input takes no words") }

// Close ends the feed.
func (f *feed) Close() error {
	f.once.Do(func() {
		close(f.ended)
		r := f.receiver
		r.mu.Lock()
		defer r.mu.Unlock()
		for i, other := range r.feeds {
			if other == f {
				r.feeds = append(r.feeds[:i:i], r.feeds[i+1:]...)
				return
			}
		}
	})
	return nil
}
