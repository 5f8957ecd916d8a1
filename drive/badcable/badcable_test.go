package badcable

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"net"
	"testing"
	"testing/synctest"
	"time"
)

const ms = time.Millisecond

// echo says what it has heard 5 ms after each line feed.
type echo struct {
	held []byte
	at   time.Duration
	says bool
}

func (e *echo) Run(time.Duration) {}

func (e *echo) Hear(p []byte, at time.Duration) {
	e.held = append(e.held, p...)
	if p[len(p)-1] == '\n' {
		e.says, e.at = true, at+5*ms
	}
}

func (e *echo) Say() ([]byte, time.Duration, bool) { return e.held, e.at, e.says }
func (e *echo) Said()                              { e.held, e.says = nil, false }

// heard reads until a time and returns what came and when the last byte did.
func heard(t *testing.T, l *Line, until time.Duration) (all []byte, last time.Duration) {
	t.Helper()
	var buffer [64]byte
	for l.Now() < until {
		if err := l.SetReadTimeout(until - l.Now()); err != nil {
			t.Fatal(err)
		}
		n, err := l.Read(buffer[:])
		if err != nil {
			t.Fatal(err)
		}
		if n > 0 {
			all, last = append(all, buffer[:n]...), l.Now()
		}
	}
	return all, last
}

func TestPacing(t *testing.T) {
	c := Default()
	c.Baud, c.BitsPerCharacter = 11000, 11 // 1 ms a character
	l, err := NewLine(&echo{}, c)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Write([]byte("123456789\n")); err != nil {
		t.Fatal(err)
	}
	all, last := heard(t, l, 100*ms)
	if string(all) != "123456789\n" || last != 25*ms {
		t.Errorf("heard %q, the last byte at %v, want it at 10 + 5 + 10 ms", all, last)
	}
	if l.Now() != 100*ms {
		t.Errorf("it is %v, want 100 ms", l.Now())
	}
}

func TestLateAndDoubled(t *testing.T) {
	c := Default()
	c.Baud, c.DoubledReplies, c.LateReplies, c.LateBy = 11000, 1, 1, 60*ms
	l, err := NewLine(&echo{}, c)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Write([]byte("a\n")); err != nil {
		t.Fatal(err)
	}
	if all, last := heard(t, l, 200*ms); string(all) != "a\na\n" || last != (2+5+60+4)*ms {
		t.Errorf("heard %q, the last byte at %v", all, last)
	}
}

func TestUnpluggedAndHung(t *testing.T) {
	l, err := NewLine(&echo{}, Default())
	if err != nil {
		t.Fatal(err)
	}
	say := func() error {
		_, err := l.Write([]byte("a\n"))
		return err
	}
	l.Hang(100 * ms)
	if err := say(); err != nil {
		t.Errorf("a line that hangs: %v", err)
	}
	if all, _ := heard(t, l, 200*ms); len(all) > 0 {
		t.Errorf("a line that hangs brought %q", all)
	}
	if err := say(); err != nil {
		t.Fatal(err)
	}
	l.Unplug()
	if err := say(); !errors.Is(err, ErrUnplugged) {
		t.Errorf("writing unplugged: %v", err)
	}
	if _, err := l.Read(make([]byte, 9)); !errors.Is(err, ErrUnplugged) {
		t.Errorf("reading unplugged: %v", err)
	}
	l.Plug()
	if all, _ := heard(t, l, 400*ms); len(all) > 0 {
		t.Errorf("what was on its way came after all: %q", all)
	}
	if err := say(); err != nil {
		t.Fatal(err)
	}
	if all, _ := heard(t, l, 600*ms); string(all) != "a\n" {
		t.Errorf("plugged in again it brought %q", all)
	}
}

// TestShares: of 200,000 bytes the shares that were asked for are spoilt,
// dropped and preceded by noise, within five standard deviations.
func TestShares(t *testing.T) {
	const n = 200_000
	input := make([]byte, n)
	for _, row := range []struct {
		name   string
		config Config
		count  func(out []byte) int
	}{
		{"spoilt", Config{SpoiltBytes: 0.01}, func(out []byte) int { return len(out) - bytes.Count(out, []byte{0}) }},
		{"dropped", Config{DroppedBytes: 0.02}, func(out []byte) int { return n - len(out) }},
		{"inserted", Config{InsertedBytes: 0.03}, func(out []byte) int { return len(out) - n }},
	} {
		s := newSpoiler(row.config, 0)
		share := row.config.SpoiltBytes + row.config.DroppedBytes + row.config.InsertedBytes
		got := row.count(s.bytes(nil, input))
		// Of the spoilt bytes those whose bit flips twice are not seen: two flips
		// of a third of them meet with 1/8.
		want := share * n
		if row.config.SpoiltBytes > 0 {
			want *= 1 - 1.0/3/8
		}
		if math.Abs(float64(got)-want) > 5*math.Sqrt(want) {
			t.Errorf("%s: %d of %d, want %.0f", row.name, got, n, want)
		}
		again := newSpoiler(row.config, 0)
		if row.count(again.bytes(nil, input)) != got {
			t.Errorf("%s: the same seed gave something else", row.name)
		}
	}
}

// TestRelay: what passes a relay arrives paced and, on a good line, as it was.
func TestRelay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		panel, near := net.Pipe()
		far, box := net.Pipe()
		c := Default()
		c.Baud = 11000
		r, err := NewRelay(near, far, c)
		if err != nil {
			t.Fatal(err)
		}
		ctx, end := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- r.Run(ctx) }()
		go func() {
			request := make([]byte, 10)
			if _, err := io.ReadFull(box, request); err == nil {
				_, _ = box.Write(request)
			}
		}()
		began := time.Now()
		if _, err := panel.Write([]byte("0123456789")); err != nil {
			t.Fatal(err)
		}
		reply := make([]byte, 10)
		if _, err := io.ReadFull(panel, reply); err != nil || string(reply) != "0123456789" {
			t.Fatalf("%q, %v", reply, err)
		}
		if took := time.Since(began); took < 20*ms || took > 21*ms {
			t.Errorf("10 bytes there and back took %v, want 20 ms", took)
		}
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}
