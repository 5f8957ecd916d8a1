// Package timesource asks an NTP server how far the computer's clock is off.
// It only measures: the clock itself is the operating system's affair.
package timesource

import (
	"context"
	"fmt"
	"net"
	"sync"
	"time"

	"github.com/beevik/ntp"

	"beamhelm/app/settings"
	"beamhelm/ending"
)

// Source asks one server every so often. Its methods may be called from any goroutine.
type Source struct {
	server string
	every  time.Duration

	mu      sync.Mutex
	offset  time.Duration
	at      time.Time // of the newest answer, zero before any
	trouble string
}

// FromSettings is the source of the settings; nil where there is none.
func FromSettings(s settings.Clock) *Source {
	if s.TimeSource == "" {
		return nil
	}
	return New(s.TimeSource, time.Duration(s.TimeSourceIntervalMin*float64(time.Minute)))
}

// New returns a source that asks "host" or "host:port" every so often. It asks nothing yet.
func New(server string, every time.Duration) *Source { return &Source{server: server, every: every} }

// patience is how long an answer may take; a failed question is asked again after again.
const (
	patience = 3 * time.Second
	again    = time.Minute
	// stale is for how many questions an old answer is still believed.
	stale = 3
)

// Run asks until the context ends.
func (s *Source) Run(ctx context.Context) {
	for {
		ending.Here("time source")
		wait := s.every
		if !s.ask(ctx) {
			wait = min(again, s.every)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
	}
}

// ask asks once and reports whether an answer came that can be believed. The
// end of the context is waited for by neither a name nor an answer.
func (s *Source) ask(ctx context.Context) bool {
	ctx, end := context.WithCancel(ctx)
	defer end()
	dialer := net.Dialer{Timeout: patience}
	dial := func(_, remote string) (net.Conn, error) {
		connection, err := dialer.DialContext(ctx, "udp", remote)
		if err == nil {
			context.AfterFunc(ctx, func() { connection.Close() })
		}
		return connection, err
	}
	answer, err := ntp.QueryWithOptions(s.server, ntp.QueryOptions{Timeout: patience, Dialer: dial})
	if err == nil {
		err = answer.Validate()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err != nil {
		s.trouble = fmt.Sprintf("time source %s: %v", s.server, err)
		return false
	}
	s.offset, s.at, s.trouble = answer.ClockOffset, time.Now(), ""
	return true
}

// Offset is how far the clock is behind the source; known is false without an answer of late.
func (s *Source) Offset() (offset time.Duration, known bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.offset, !s.at.IsZero() && time.Since(s.at) < stale*s.every
}

// Trouble says why the last question came to nothing; empty where it did not.
func (s *Source) Trouble() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.trouble
}
