package serve

import (
	"io"
	"sync"
	"time"
)

// Pipe is a line within the program, for machines without pseudo-terminals.
// The enclosure is at the Far end; near ends are opened, one at a time.
type Pipe struct {
	toFar, toNear *stream
	mu            sync.Mutex
	open          *NearEnd
}

// NewPipe returns a pipe.
func NewPipe() *Pipe { return &Pipe{toFar: newStream(), toNear: newStream()} }

// Far is the enclosure's end: its Read blocks until there is something, or it is closed.
func (p *Pipe) Far() io.ReadWriteCloser { return farEnd{p} }

// OpenNear opens the panel's end. An end that was open before is closed, and
// what was on its way is lost.
func (p *Pipe) OpenNear() *NearEnd {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.open != nil {
		p.open.shut()
	}
	p.toNear.empty()
	p.open = &NearEnd{pipe: p, closed: make(chan struct{})}
	return p.open
}

// NearEnd is the panel's end of a pipe. Its Read waits for the first byte as
// long as its time-out says, then returns 0 and no error.
type NearEnd struct {
	pipe   *Pipe
	closed chan struct{}
	once   sync.Once
	wait   time.Duration
}

func (n *NearEnd) shut() { n.once.Do(func() { close(n.closed) }) }

// Close closes the end.
func (n *NearEnd) Close() error {
	n.shut()
	return nil
}

// SetReadTimeout sets how long Read waits.
func (n *NearEnd) SetReadTimeout(d time.Duration) error {
	n.wait = d
	return nil
}

func (n *NearEnd) Write(p []byte) (int, error) {
	select {
	case <-n.closed:
		return 0, io.ErrClosedPipe
	default:
		return n.pipe.toFar.put(p)
	}
}

func (n *NearEnd) Read(p []byte) (int, error) {
	timer := time.NewTimer(n.wait)
	defer timer.Stop()
	for {
		if k, err := n.pipe.toNear.take(p); k > 0 || err != nil {
			return k, err
		}
		select {
		case <-n.closed:
			return 0, io.ErrClosedPipe
		case <-n.pipe.toNear.more:
		case <-timer.C:
			return 0, nil
		}
	}
}

type farEnd struct{ pipe *Pipe }

func (f farEnd) Write(p []byte) (int, error) { return f.pipe.toNear.put(p) }

func (f farEnd) Read(p []byte) (int, error) {
	for {
		if k, err := f.pipe.toFar.take(p); k > 0 || err != nil {
			return k, err
		}
		<-f.pipe.toFar.more
	}
}

func (f farEnd) Close() error {
	f.pipe.toFar.close()
	f.pipe.toNear.close()
	return nil
}

// maxStream is how many bytes wait at most; more are lost, as in a full buffer of a port.
const maxStream = 4096

// stream is one direction.
type stream struct {
	mu     sync.Mutex
	held   []byte
	closed bool
	more   chan struct{} // has one when there may be something to take
}

func newStream() *stream { return &stream{more: make(chan struct{}, 1)} }

func (s *stream) put(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return 0, io.ErrClosedPipe
	}
	s.held = append(s.held, p[:min(len(p), maxStream-len(s.held))]...)
	s.tell()
	return len(p), nil
}

func (s *stream) take(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := copy(p, s.held)
	s.held = append(s.held[:0], s.held[n:]...)
	if n == 0 && s.closed {
		return 0, io.EOF
	}
	return n, nil
}

func (s *stream) empty() {
	s.mu.Lock()
	s.held = s.held[:0]
	s.mu.Unlock()
}

func (s *stream) close() {
	s.mu.Lock()
	s.closed = true
	s.tell()
	s.mu.Unlock()
}

func (s *stream) tell() {
	select {
	case s.more <- struct{}{}:
	default:
	}
}
