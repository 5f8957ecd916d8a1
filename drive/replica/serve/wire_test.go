package serve

import (
	"context"
	"slices"
	"time"
)

// wire is a line in virtual time, as fast as its speed and no faster, with a
// slave at its end. It is the clock too. A test may spoil what passes.
type wire struct {
	slave   *Slave
	now     time.Duration
	char    time.Duration
	timeout time.Duration
	// request changes what the slave hears, reply what it says; nil: nothing.
	request func(w *wire, p []byte) []byte
	reply   func(w *wire, p []byte) []byte
	early   bool   // replies begin as soon as the request ends
	asked   []byte // the last request
	coming  []byte
}

func newWire(s *Slave) *wire { return &wire{slave: s, char: s.enclosure.config.Character()} }

func (w *wire) Now() time.Duration { return w.now }

func (w *wire) Sleep(_ context.Context, d time.Duration) { w.pass(w.now + d) }

// pass lets time pass; what the slave says meanwhile is on the line for nobody but the next Read.
func (w *wire) pass(to time.Duration) {
	for {
		p, at, ok := w.slave.Say()
		if ok && w.early {
			at = w.now
		}
		if !ok || at > to {
			break
		}
		w.slave.Run(at)
		w.deliver(slices.Clone(p))
		w.slave.Said()
	}
	w.now = max(w.now, to)
	w.slave.Run(w.now)
}

func (w *wire) deliver(p []byte) {
	if w.reply != nil {
		p = w.reply(w, p)
	}
	w.coming = append(w.coming, p...)
}

func (w *wire) Write(p []byte) (int, error) {
	w.pass(w.now + time.Duration(len(p))*w.char)
	w.asked = slices.Clone(p)
	heard := w.asked
	if w.request != nil {
		heard = w.request(w, slices.Clone(p))
	}
	w.slave.Hear(heard, w.now)
	return len(p), nil
}

func (w *wire) SetReadTimeout(d time.Duration) error {
	w.timeout = d
	return nil
}

// Read takes what has come, or waits for it; its characters take their time.
func (w *wire) Read(p []byte) (int, error) {
	for until := w.now + w.timeout; len(w.coming) == 0 && w.now < until; {
		w.pass(min(until, w.now+time.Millisecond/2))
	}
	n := copy(p, w.coming)
	w.coming = w.coming[n:]
	w.pass(w.now + time.Duration(n)*w.char)
	return n, nil
}

func (w *wire) Close() error { return nil }
