//go:build linux

package link

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"beamhelm/drive/badcable"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
)

// box is an enclosure on a pseudo-terminal whose path is a link that stays.
type box struct {
	server *serve.Server
	e      *serve.Enclosure
	end    context.CancelFunc
	ended  chan error
	first  chan enclosure.Demand // the first demand with a sequence
}

func openBox(t *testing.T, path string) *box {
	t.Helper()
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	if err := os.Symlink(terminal.Path, path); err != nil {
		t.Fatal(err)
	}
	b := &box{ended: make(chan error, 1), first: make(chan enclosure.Demand, 1)}
	b.server, b.e = newServer(t, terminal)
	seen := false
	b.server.WatchEvery = ms
	b.server.Watch = func(e *serve.Enclosure) {
		if d := e.Demand(); d.Sequence != 0 && !seen {
			seen = true
			b.first <- d
		}
	}
	ctx, end := context.WithCancel(context.Background())
	b.end = end
	go func() { b.ended <- b.server.Run(ctx) }()
	return b
}

func (b *box) close(t *testing.T) {
	t.Helper()
	b.end()
	if err := <-b.ended; err != nil {
		t.Errorf("closing the enclosure: %v", err)
	}
}

func descriptors(t *testing.T) int {
	t.Helper()
	all, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Fatal(err)
	}
	return len(all)
}

// TestPortTornDown: the port goes and comes back under the same link; each
// time the panel is back within 2 s, the first demand is zero, and nothing is left over.
func TestPortTornDown(t *testing.T) {
	path := filepath.Join(t.TempDir(), "dish")
	before := 0
	var last *box
	c, end, ended := newCaller(t, Serial(Settings{Path: path}))
	for i := range tornDown {
		b := openBox(t, path)
		last = b
		began := time.Now()
		c.good(2*time.Second, enclosure.Demand{Az: 5000})
		t.Logf("back after %v", time.Since(began).Round(ms))
		if first := <-b.first; first.Az != 0 || first.Orders != 0 {
			t.Errorf("round %d: the first demand is %+v", i, first)
		}
		if r := c.good(time.Second, enclosure.Demand{Az: 5000}); r.Motion.Sequence < 2 {
			t.Errorf("round %d: the sequence is %d", i, r.Motion.Sequence)
		}
		if i == 0 {
			before = descriptors(t)
		} else if now := descriptors(t); now > before {
			t.Errorf("round %d: %d descriptors, %d in the first round", i, now, before)
		}
		if i == tornDown-1 {
			break
		}
		b.close(t)
		for c.ask(enclosure.Demand{}).Err == nil {
		}
	}
	end()
	defer func() { last.close(t) }()
	if err := <-ended; err != nil {
		t.Errorf("ending the link: %v", err)
	}
}

// TestBadCableBetweenTerminals: 2,000 exchanges in real time over a spoilt line between two pseudo-terminals.
func TestBadCableBetweenTerminals(t *testing.T) {
	folder := t.TempDir()
	b := openBox(t, filepath.Join(folder, "dish"))
	far, err := os.OpenFile(filepath.Join(folder, "dish"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	near, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	cable := badcable.Default()
	cable.Baud, cable.SpoiltBytes, cable.DoubledReplies, cable.LateReplies, cable.LateBy = 115200, 0.002, 0.05, 0.02,
		30*ms
	relay, err := badcable.NewRelay(near, far, cable)
	if err != nil {
		t.Fatal(err)
	}
	ctx, endRelay := context.WithCancel(t.Context())
	relayed := make(chan error, 1)
	go func() { relayed <- relay.Run(ctx) }()
	c, end, ended := newCaller(t, Serial(Settings{Path: near.Path, Baud: 115200}))
	c.good(5*time.Second, enclosure.Demand{})
	good, last := 0, uint32(0)
	for range 2000 {
		r := c.askWithin(40*ms, enclosure.Demand{})
		if errors.Is(r.Err, ErrNotConnected) {
			// A starved computer has given the port up: it is opened again, and that takes its time.
			c.good(5*time.Second, enclosure.Demand{})
		}
		if r.Err != nil {
			continue
		}
		good++
		if r.Motion.Millis < last || r.Motion.State != 0 || r.Motion.Trips != enclosure.TripStarted ||
			r.Motion.StartCounter != 1 {
			t.Fatalf("a reply counts that cannot be: %+v", r.Motion)
		}
		last = r.Motion.Millis
	}
	t.Logf("%d of 2000 exchanges good: %+v", good, c.port.Status().Quiet)
	if good < 1000 {
		t.Errorf("only %d of 2000 exchanges were good", good)
	}
	end()
	if err := <-ended; err != nil {
		t.Errorf("ending the link: %v", err)
	}
	endRelay()
	if err := <-relayed; err != nil {
		t.Errorf("ending the relay: %v", err)
	}
	b.close(t)
}
