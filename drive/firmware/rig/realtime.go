package rig

import (
	"context"
	"fmt"
	"time"

	"beamhelm/drive/replica/serve"
)

// Served is a rig that lives in real time at the end of a pseudo-terminal,
// which a program opens as it would open the enclosure's port.
type Served struct {
	// Path of the port.
	Path string
	// Tap, where set, is shown what passes, from Run's goroutine.
	Tap func(p []byte, toEnclosure bool)
	// Watch, where set, is called from Run's goroutine every WatchEvery of the rig's time.
	Watch      func(*Rig)
	WatchEvery time.Duration
	// Late is the longest time by which the rig was behind the clock, 0 below LateFrom; Lates how
	// often it was so by more than LateFrom; after Run.
	Late  time.Duration
	Lates int

	rig      *Rig
	terminal *serve.Terminal
	watched  time.Duration
}

// LateFrom is from when on a rig that is behind the clock may cost an exchange.
const LateFrom = 10 * time.Millisecond

// Serve opens a pseudo-terminal for a rig. Run lets it live, and owns it until it has ended.
func (r *Rig) Serve() (*Served, error) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		return nil, err
	}
	return &Served{Path: terminal.Path, rig: r, terminal: terminal}, nil
}

// Run lets the rig live until the context ends, and closes the line.
func (s *Served) Run(ctx context.Context) error {
	heard, failed, readerEnded := make(chan []byte), make(chan error, 1), make(chan struct{})
	go func() {
		defer close(readerEnded)
		failed <- s.hear(ctx, heard)
	}()
	err := s.live(ctx, heard, failed)
	closing := s.terminal.Close()
	<-readerEnded
	if err == nil {
		err = closing
	}
	return err
}

// hear passes on what the line brings until it is closed.
func (s *Served) hear(ctx context.Context, heard chan<- []byte) error {
	for {
		p := make([]byte, 512)
		n, err := s.terminal.Read(p)
		if err != nil {
			return fmt.Errorf("reading the line: %w", err)
		}
		select {
		case heard <- p[:n]:
		case <-ctx.Done():
			return nil
		}
	}
}

func (s *Served) live(ctx context.Context, heard <-chan []byte, failed <-chan error) error {
	zero := s.rig.Now()
	began := time.Now()
	wake := time.NewTicker(time.Millisecond)
	defer wake.Stop()
	for {
		var request []byte
		select {
		case <-ctx.Done():
			return nil
		case err := <-failed:
			return err
		case request = <-heard:
		case <-wake.C:
		}
		elapsed := time.Since(began)
		passed := func() time.Duration {
			return time.Duration((s.rig.Now()-zero)/Millisecond) * time.Millisecond
		}
		if behind := elapsed - passed(); behind > LateFrom {
			s.Lates++
			s.Late = max(s.Late, behind)
		}
		for passed()+time.Millisecond <= elapsed && ctx.Err() == nil {
			s.rig.Run()
			if err := s.say(); err != nil {
				return err
			}
			if s.Watch != nil && passed() >= s.watched+s.WatchEvery {
				s.watched = passed()
				s.Watch(s.rig)
			}
		}
		if len(request) > 0 {
			s.tap(request, true)
			s.rig.Send(request)
		}
	}
}

// say writes the bytes that have left the enclosure by now.
func (s *Served) say() error {
	p := s.rig.arrived()
	if len(p) == 0 {
		return nil
	}
	s.tap(p, false)
	if _, err := s.terminal.Write(p); err != nil {
		return fmt.Errorf("writing to the line: %w", err)
	}
	s.rig.took(len(p))
	return nil
}

func (s *Served) tap(p []byte, toEnclosure bool) {
	if s.Tap != nil {
		s.Tap(p, toEnclosure)
	}
}
