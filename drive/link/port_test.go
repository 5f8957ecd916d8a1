package link

import (
	"context"
	"errors"
	"io"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// slack is what a busy machine may add to an exchange in real time.
const slack = 400 * ms

// caller makes one exchange a tick with a port.
type caller struct {
	*testing.T
	port  *Port
	began time.Time
}

func newCaller(t *testing.T, open Opener) (*caller, context.CancelFunc, <-chan error) {
	t.Helper()
	began := time.Now()
	port, err := NewPort(open, began, Default())
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- port.Run(ctx) }()
	return &caller{t, port, began}, end, ended
}

func (c *caller) ask(d enclosure.Demand) drive.Reply { return c.askWithin(90*ms, d) }

func (c *caller) askWithin(limit time.Duration, d enclosure.Demand) drive.Reply {
	d.WatchdogMillis = 1000
	now := time.Since(c.began)
	r := c.port.Exchange(drive.Request{Ask: drive.AskMotion, Demand: d, At: now, Deadline: now + limit})
	if late := time.Since(c.began) - now - limit; late > 21*ms+slack {
		c.Errorf("an exchange ended %v after its deadline", late)
	}
	return r
}

// good asks ten times a second until a reply counts.
func (c *caller) good(within time.Duration, d enclosure.Demand) drive.Reply {
	c.Helper()
	for until := time.Now().Add(within); ; {
		began := time.Now()
		r := c.ask(d)
		if r.Err == nil {
			return r
		}
		if time.Now().After(until) {
			c.Fatalf("no reply within %v: %v", within, r.Err)
		}
		time.Sleep(time.Until(began.Add(100 * ms)))
	}
}

// newServer returns an enclosure at a line, with the dish that it moves.
func newServer(t *testing.T, line io.ReadWriteCloser) (*serve.Server, *serve.Enclosure) {
	t.Helper()
	e, err := serve.New(&stand{}, serve.Default())
	if err != nil {
		t.Fatal(err)
	}
	return serve.NewServer(serve.NewSlave(e), line), e
}

// TestOverPipe: loop's side and enclosure in one program, in a clock that stands still while they work.
func TestOverPipe(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		pipe := serve.NewPipe()
		server, e := newServer(t, pipe.Far())
		ctx, endServer := context.WithCancel(t.Context())
		served := make(chan error)
		go func() { served <- server.Run(ctx) }()
		looked, err := Look(func() (rtu.Line, error) { return pipe.OpenNear(), nil }, 1)
		if d, known := looked.Identity(); err != nil || !known || d.MapVersion != enclosure.MapVersion ||
			!looked.Known[0x3F] || !looked.Known[0x5F] {
			t.Fatalf("a look gave %+v, %v", looked, err)
		}
		c, end, ended := newCaller(t, func() (rtu.Line, error) { return pipe.OpenNear(), nil })
		c.good(time.Second, enclosure.Demand{Clear: enclosure.AllTrips})
		c.good(time.Second, enclosure.Demand{Orders: enclosure.OrderPower})
		for range 20 {
			time.Sleep(100 * ms)
			if r := c.ask(enclosure.Demand{Orders: enclosure.OrderPower, Az: 5000}); r.Err != nil {
				t.Fatal(r.Err)
			}
		}
		var m enclosure.Motion
		server.Do(func() { m = e.Motion() })
		if m.Applied[0] != 5000 || m.State&enclosure.StatePower == 0 {
			t.Fatalf("the enclosure is at %+v", m)
		}
		heard := c.port.Registers()
		if heard.Words[0x12] != 5000 || heard.Words[0] != looked.Words[0] ||
			heard.Words[0x20]&enclosure.StatePower == 0 || heard.Known[0x40] {
			t.Errorf("heard %+v", heard)
		}
		end()
		if err := <-ended; err != nil {
			t.Errorf("ending the link: %v", err)
		}
		server.Do(func() { m = e.Motion() })
		if m.Applied[0] != 0 || m.State&enclosure.StatePower != 0 || m.Trips != 0 {
			t.Errorf("after the link has ended the enclosure is at %+v", m)
		}
		endServer()
		if err := <-served; err != nil {
			t.Errorf("ending the enclosure: %v", err)
		}
	})
}

// stuck is a line whose writes block until its output is thrown away.
type stuck struct {
	once    sync.Once
	flushed chan struct{}
	closed  chan struct{}
}

func newStuck() *stuck { return &stuck{flushed: make(chan struct{}), closed: make(chan struct{})} }

func (s *stuck) Read([]byte) (int, error)           { return 0, nil }
func (s *stuck) SetReadTimeout(time.Duration) error { return nil }
func (s *stuck) Close() error                       { close(s.closed); return nil }

func (s *stuck) Write([]byte) (int, error) {
	<-s.flushed
	return 0, errors.New("flushed")
}

func (s *stuck) ResetOutputBuffer() error {
	s.once.Do(func() { close(s.flushed) })
	return nil
}

// TestStuckPort: a port that never returns costs an exchange its deadline and
// the grace, is given up, closed once nothing is in it, and opened again.
func TestStuckPort(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var opened []*stuck
		var mu sync.Mutex
		c, end, ended := newCaller(t, func() (rtu.Line, error) {
			mu.Lock()
			defer mu.Unlock()
			opened = append(opened, newStuck())
			return opened[len(opened)-1], nil
		})
		synctest.Wait()
		for i := range 3 {
			time.Sleep(time.Second)
			began := time.Now()
			asked := 0
			for ; ; asked++ {
				r := c.ask(enclosure.Demand{})
				if errors.Is(r.Err, ErrNotConnected) {
					break
				}
				if !errors.Is(r.Err, ErrOverrun) {
					t.Fatalf("exchange %d: %v", i, r.Err)
				}
			}
			if took := time.Since(began); took < 390*ms || took > 500*ms || asked != 4 {
				t.Errorf("the port was given up after %v and %d exchanges, want 0.4 s after the first", took, asked)
			}
			synctest.Wait()
			mu.Lock()
			<-opened[i].closed
			mu.Unlock()
		}
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if s := c.port.Status(); s.Opened < 3 || s.Quiet.Failed < 3 {
			t.Errorf("the status is %+v", s)
		}
	})
}

// TestNoPort: while there is no port exchanges end at once, and opening is tried on.
func TestNoPort(t *testing.T) {
	if r, err := Look(Serial(Settings{Path: "/dev/there-is-none"}), 1); err == nil || r.Known[0] {
		t.Errorf("looked at a port that isn't there: %+v", r)
	}
	synctest.Test(t, func(t *testing.T) {
		tried := 0
		c, end, ended := newCaller(t, func() (rtu.Line, error) { tried++; return nil, errors.New("no such port") })
		time.Sleep(10 * time.Second)
		began := time.Now()
		if r := c.ask(enclosure.Demand{}); !errors.Is(r.Err, ErrNotConnected) || time.Since(began) > 0 {
			t.Errorf("without a port: %v after %v", r.Err, time.Since(began))
		}
		if s := c.port.Status(); s.Trouble != "no such port" || s.Open {
			t.Errorf("the status is %+v", s)
		}
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if tried < 38 || tried > 45 {
			t.Errorf("opening was tried %d times in 10 s, want about four a second", tried)
		}
	})
}

func TestSettings(t *testing.T) {
	for _, row := range []struct {
		name string
		s    Settings
		ok   bool
	}{
		{"defaults", Settings{Path: "p"}, true},
		{"no path", Settings{}, false},
		{"9600", Settings{Path: "p", Baud: 9600}, true},
		{"57600 without parity", Settings{Path: "p", Baud: 57600, Parity: NoParity, StopBits: 1}, true},
		{"4800", Settings{Path: "p", Baud: 4800}, false},
		{"three stop bits", Settings{Path: "p", StopBits: 3}, false},
	} {
		if err := row.s.Validate(); (err == nil) != row.ok {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	if _, err := Serial(Settings{Path: "/nonexistent/port"})(); err == nil {
		t.Error("a port that is not there was opened")
	}
}
