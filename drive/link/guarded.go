package link

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"beamhelm/drive/rtu"
)

// errGivenUp is what a line says that has been given up.
var errGivenUp = errors.New("the line has been given up")

// guarded is a line that can be given up by another goroutine than the one
// that uses it. The descriptor is closed only when no call is in it: a closed
// one may be some other file's by then, and a write would land there.
type guarded struct {
	line rtu.Line

	mu      sync.Mutex
	inside  int
	givenUp bool
	closed  bool
	err     error // of closing
}

// flusher is a line whose blocked write ends when its output is thrown away.
type flusher interface{ ResetOutputBuffer() error }

func (g *guarded) enter() error {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.givenUp {
		return errGivenUp
	}
	g.inside++
	return nil
}

func (g *guarded) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.inside--
	g.closeIfFree()
}

func (g *guarded) closeIfFree() {
	if g.givenUp && !g.closed && g.inside == 0 {
		g.closed = true
		g.err = g.line.Close()
	}
}

// Close gives the line up: at once where it is not in use, else when the call
// that is in it returns.
func (g *guarded) Close() error {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.givenUp = true
	if f, ok := g.line.(flusher); ok && g.inside > 0 && !g.closed {
		// A failure changes nothing: the call inside is waited for all the same.
		_ = f.ResetOutputBuffer()
	}
	g.closeIfFree()
	return g.err
}

func (g *guarded) SetReadTimeout(d time.Duration) error {
	if err := g.enter(); err != nil {
		return err
	}
	defer g.leave()
	return g.line.SetReadTimeout(d)
}

func (g *guarded) Read(p []byte) (int, error) {
	if err := g.enter(); err != nil {
		return 0, err
	}
	defer g.leave()
	n, err := g.line.Read(p)
	return within(n, len(p), err)
}

func (g *guarded) Write(p []byte) (int, error) {
	if err := g.enter(); err != nil {
		return 0, err
	}
	defer g.leave()
	n, err := g.line.Write(p)
	return within(n, len(p), err)
}

// within refuses a length that cannot be.
func within(n, maximum int, err error) (int, error) {
	if n < 0 || n > maximum {
		return 0, fmt.Errorf("the port claims %d of %d bytes: %w", n, maximum, errors.Join(err, errGivenUp))
	}
	return n, err
}
