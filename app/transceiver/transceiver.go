// Package transceiver reads a radio's dial by its serial control port, and sets it where that is switched on. It
// never keys a radio: nothing here is able to.
package transceiver

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"beamhelm/app/transceiver/codec"
	"beamhelm/ending"
)

// Reading is what the radio's dial shows.
type Reading struct {
	Has bool
	At  time.Time
	// ReceiveHz and TransmitHz are as on the dial; TransmitHz is NaN where the radio doesn't tell it.
	ReceiveHz, TransmitHz float64
	// Split says that the transmitter has a frequency of its own.
	Split bool
}

// Wanted is what the dial should be.
type Wanted struct {
	Has bool
	// Period tells one demand from the next: each is set once, so that an operator who turns the dial has the last
	// word.
	Period                time.Time
	ReceiveHz, TransmitHz float64
	// Keyed says that the station transmits, or that it isn't known.
	Keyed bool
}

// Config of a transceiver.
type Config struct {
	Name string // of its port, on the screen
	Open func(ctx context.Context) (io.ReadWriteCloser, error)
	// Protocol is spoken by nobody else.
	Protocol codec.Protocol
	// Set sets the dial to what Wanted says; WhileTransmitting does so while keyed too.
	Set, WhileTransmitting bool
	Wanted                 func() Wanted
	// Every is how often the dial is read, Patience how long an answer is waited for, Pause between two tries.
	Every, Patience, Pause time.Duration
}

// Default has the usual times: answers come within 10 to 150 ms (common practice, no source).
func Default() Config {
	return Config{Every: time.Second, Patience: 300 * time.Millisecond, Pause: 40 * time.Millisecond}
}

// Validate names what can't be used.
func (c *Config) Validate() error {
	switch {
	case c.Open == nil || c.Protocol == nil:
		return fmt.Errorf("radio %s: nothing opens it, or speaks to it", c.Name)
	case c.Set && c.Wanted == nil:
		return fmt.Errorf("radio %s: to be set to what nobody tells", c.Name)
	case c.Every <= 0 || c.Patience <= 0 || c.Pause <= 0:
		return fmt.Errorf("radio %s: read every %v, answers within %v, pauses of %v: each must be above 0", c.Name,
			c.Every, c.Patience, c.Pause)
	}
	return nil
}

// Transceiver is a radio that is read in the background. Its methods may be called from any goroutine.
type Transceiver struct {
	config Config

	mu      sync.Mutex
	reading Reading
	trouble string // of reading
	unset   string // why the dial isn't set
}

// New returns a transceiver; nothing is opened before Run.
func New(c Config) (*Transceiver, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return &Transceiver{config: c}, nil
}

// again is how long after a port is lost it is opened again.
const again = 2 * time.Second

// Run opens and reads the radio until the context ends, and opens it again whenever it was lost.
func (t *Transceiver) Run(ctx context.Context) {
	for ctx.Err() == nil {
		ending.Here("radio")
		err := t.session(ctx)
		if ctx.Err() != nil {
			return
		}
		t.fail(err)
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

// Reading is what the dial showed last; it Has nothing where that is old.
func (t *Transceiver) Reading() Reading {
	t.mu.Lock()
	defer t.mu.Unlock()
	if r := t.reading; time.Since(r.At) < 5*t.config.Every {
		return r
	}
	return Reading{}
}

// Trouble says in a line why the dial isn't known, or isn't set; empty where all is well.
func (t *Transceiver) Trouble() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.trouble != "" {
		return t.trouble
	}
	return t.unset
}

func (t *Transceiver) fail(err error) {
	words := "it ended"
	if err != nil && !errors.Is(err, io.EOF) {
		words = err.Error()
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.trouble = fmt.Sprintf("radio at %s: %s", t.config.Name, words)
}

func (t *Transceiver) put(r Reading) {
	r.Has, r.At = true, time.Now()
	t.mu.Lock()
	defer t.mu.Unlock()
	t.reading, t.trouble = r, ""
}

func (t *Transceiver) tellUnset(words string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.unset = words; words != "" {
		t.unset = fmt.Sprintf("radio at %s: %s", t.config.Name, words)
	}
}

// failures is how many readings in a row must fail before it is told: single bytes are lost on any line.
const failures = 3

// session reads the radio from the port's opening to its end.
func (t *Transceiver) session(ctx context.Context) error {
	port, err := t.config.Open(ctx)
	if err != nil {
		return err
	}
	inner, end := context.WithCancel(ctx)
	var group ending.Group
	group.Go("radio's port", func() { // a read waits for nothing but its port
		<-inner.Done()
		ending.Here("radio's port")
		port.Close()
	})
	defer group.Wait()
	defer end()
	s := &session{t: t, port: port, came: make(chan []byte, 64), lost: make(chan error, 1)}
	group.Go("radio's answers", func() { s.listen(inner) })
	ticker := time.NewTicker(t.config.Every)
	defer ticker.Stop()
	for failed := 0; ; {
		r, err := s.read(inner)
		switch {
		case inner.Err() != nil:
			return inner.Err()
		case errors.Is(err, errLost):
			return err
		case err != nil:
			if failed++; failed >= failures {
				t.fail(err)
			}
		default:
			failed = 0
			t.put(r)
			if t.config.Set {
				s.set(inner, r)
			}
		}
		select {
		case <-inner.Done():
			return inner.Err()
		case <-ticker.C:
		}
	}
}

// near says that two readings of a dial are of the same dial, perhaps while it is being turned.
func near(a, b int64) bool { return math.Abs(float64(a-b)) <= 5000 }
