package badcable

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"time"
)

// Relay stands between two lines in real time, the panel's and the enclosure's,
// and spoils what passes. It belongs to Run, but Hang may be called from anywhere.
type Relay struct {
	near, far io.ReadWriteCloser
	config    Config
	hangs     atomic.Int64 // until when nothing passes, time since began
	began     time.Time
}

// NewRelay returns a relay between the panel's line and the enclosure's. Their
// Read blocks, and ends with an error when they are closed.
func NewRelay(near, far io.ReadWriteCloser, c Config) (*Relay, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return &Relay{near: near, far: far, config: c, began: time.Now()}, nil
}

// Hang lets nothing pass for a time.
func (r *Relay) Hang(d time.Duration) { r.hangs.Store(int64(time.Since(r.began) + d)) }

func (r *Relay) hanging() bool { return int64(time.Since(r.began)) < r.hangs.Load() }

// Run passes bytes until the context ends or a line fails, and closes both lines.
func (r *Relay) Run(ctx context.Context) error {
	failed := make(chan error, 2)
	out, in := newSpoiler(r.config, 1), newSpoiler(r.config, 2)
	request := func(dst, p []byte) ([]byte, time.Duration) { return out.bytes(dst, p), 0 }
	go func() { failed <- r.pass(ctx, r.near, r.far, request) }()
	go func() { failed <- r.pass(ctx, r.far, r.near, in.reply) }()
	running := 2
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
		running--
	}
	closing := errors.Join(r.near.Close(), r.far.Close())
	for range running {
		<-failed
	}
	if ctx.Err() != nil {
		return closing
	}
	return err
}

// together is how many bytes are handed on at once.
const together = 8

// pass carries one direction. What one Read brings is taken for one frame.
func (r *Relay) pass(ctx context.Context, from io.Reader, to io.Writer,
	spoil func(dst, p []byte) ([]byte, time.Duration)) error {
	var buffer [512]byte
	var spoilt []byte
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	wait := func(until time.Time) bool {
		timer.Reset(time.Until(until))
		select {
		case <-timer.C:
			return true
		case <-ctx.Done():
			return false
		}
	}
	for {
		n, err := from.Read(buffer[:])
		if err != nil {
			return fmt.Errorf("passing bytes on: %w", err)
		}
		if r.hanging() {
			continue
		}
		var late time.Duration
		spoilt, late = spoil(spoilt[:0], buffer[:n])
		at := time.Now().Add(late)
		for rest := spoilt; len(rest) > 0; {
			k := min(together, len(rest))
			at = at.Add(time.Duration(k) * r.config.Character())
			if !wait(at) {
				return nil
			}
			if _, err := to.Write(rest[:k]); err != nil {
				return fmt.Errorf("passing bytes on: %w", err)
			}
			rest = rest[k:]
		}
	}
}
