// Package meter reads noise meters other than the enclosure's own detector: a
// serial meter that sends a number on each line, an instrument that answers SCPI
// queries, and the receiver's audio. Whatever it is, it gives one stream of levels.
package meter

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"beamhelm/ending"
)

// Kind is the kind of a meter.
type Kind uint8

const (
	// Lines: one number on each line, whenever the meter likes.
	Lines Kind = iota
	// SCPI: a query, asked every so often, is answered by one number.
	SCPI
	// Audio: samples of the receiver's audio, 16 bits, little end first, one channel.
	Audio
)

// Flaw is why a level must not be used.
type Flaw uint8

const (
	Sound      Flaw = iota
	Nonsense        // not a number
	Overloaded      // the meter says so, or its samples clip
	Regulated       // automatic gain holds the level
)

// Sample is one level.
type Sample struct {
	// At is the middle of the time that it means, by the monotonic clock, and Age
	// how long ago that was when it was taken; Lasts that time, 0 where not known.
	At         time.Time
	Age, Lasts time.Duration
	// LevelDB is dB to an arbitrary zero; it means nothing with a flaw.
	LevelDB float64
	Flaw    Flaw
}

// Config of a meter.
type Config struct {
	Kind Kind
	// Open opens the way to the meter: a serial port, a connection, a program that records.
	Open func(ctx context.Context) (io.ReadWriteCloser, error)
	// Name of the meter on the screen, as its port.
	Name string
	// Linear says that its numbers are power, not dB.
	Linear bool
	// Query is what an instrument is asked, every so often.
	Query string
	Every time.Duration
	// Rate of the audio samples, a second; LowHz and HighHz bound the noise that counts.
	Rate          int
	LowHz, HighHz float64
}

// Validate names what can't be used.
func (c *Config) Validate() error {
	switch {
	case c.Open == nil:
		return fmt.Errorf("noise meter %s: nothing opens it", c.Name)
	case c.Kind > Audio:
		return fmt.Errorf("noise meter %s: kind %d, may be 0 to 2", c.Name, c.Kind)
	case c.Kind == SCPI && (c.Query == "" || c.Every < 20*time.Millisecond || c.Every > time.Minute):
		return fmt.Errorf("noise meter %s: query %q every %v: a query, and 20 ms to a minute", c.Name, c.Query, c.Every)
	case c.Kind == Audio && (c.Rate < 4000 || c.Rate > 192000 ||
		!(c.LowHz >= 0 && c.HighHz > c.LowHz && c.HighHz <= float64(c.Rate)/2)):
		return fmt.Errorf(
			"noise meter %s: %g to %g Hz of audio sampled %d times a second: they must rise and end at half the "+
				"rate at most", c.Name, c.LowHz, c.HighHz, c.Rate)
	}
	return nil
}

// Meter is a meter that is read in the background. Its methods may be called from any goroutine.
type Meter struct {
	config Config

	mu       sync.Mutex
	wait     []Sample
	trouble  string
	identity string
}

// maxWaiting is what may wait to be taken: seconds of any meter.
const maxWaiting = 500

// New returns a meter; nothing is opened before Run.
func New(c Config) (*Meter, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return &Meter{config: c}, nil
}

// again is how long after an end it is tried again.
const again = 2 * time.Second

// Run opens and reads the meter until the context ends, and opens it again whenever it was lost.
func (m *Meter) Run(ctx context.Context) {
	for ctx.Err() == nil {
		ending.Here("noise meter")
		err := m.session(ctx)
		if ctx.Err() != nil {
			return
		}
		m.fail(err)
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

// session reads the meter from its opening to its end.
func (m *Meter) session(ctx context.Context) error {
	port, err := m.config.Open(ctx)
	if err != nil {
		return err
	}
	ended := make(chan struct{})
	var closing ending.Group
	closing.Go("meter's port", func() { // a read waits for nothing but its port
		select {
		case <-ctx.Done():
		case <-ended:
		}
		ending.Here("meter's port")
		port.Close()
	})
	defer closing.Wait()
	defer close(ended)
	switch m.config.Kind {
	case SCPI:
		return m.ask(ctx, port)
	case Audio:
		return m.listen(port)
	}
	return m.lines(port)
}

// Take hands over what came since it was last asked, oldest first.
func (m *Meter) Take() []Sample {
	m.mu.Lock()
	defer m.mu.Unlock()
	taken := m.wait
	m.wait = nil
	for i := range taken {
		taken[i].Age = time.Since(taken[i].At)
	}
	return taken
}

// Trouble says why nothing comes; empty where something does.
func (m *Meter) Trouble() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.trouble
}

// Identity is what an instrument says that it is; empty before it did.
func (m *Meter) Identity() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.identity
}

// put takes a sample in. A number that is none, or that stands for an
// overload, is kept as that.
func (m *Meter) put(s Sample, value float64) {
	switch {
	case s.Flaw != Sound:
	case math.IsNaN(value), m.config.Linear && value <= 0:
		s.Flaw = Nonsense
	case math.IsInf(value, 0), math.Abs(value) > 1e30:
		s.Flaw = Overloaded
	case m.config.Linear:
		s.LevelDB = 10 * math.Log10(value)
	case math.Abs(value) > 1000:
		s.Flaw = Nonsense // no level in dB
	default:
		s.LevelDB = value
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.trouble = ""
	if len(m.wait) < maxWaiting {
		m.wait = append(m.wait, s)
	}
}

func (m *Meter) fail(err error) {
	words := "it ended"
	if err != nil && !errors.Is(err, io.EOF) {
		words = err.Error()
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.trouble = fmt.Sprintf("noise meter %s: %s", m.config.Name, words)
}
