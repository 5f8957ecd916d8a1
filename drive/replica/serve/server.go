package serve

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"
)

// Server lets a slave live in real time at the end of a line.
type Server struct {
	slave *Slave
	line  io.ReadWriteCloser
	tasks chan func()
	done  chan struct{}
	// Quiet, where set, is called from Run's goroutine while nothing has been
	// heard for 300 ms, ten times a second.
	Quiet func()
	// Watch, where set, is called from Run's goroutine every WatchEvery.
	Watch      func(*Enclosure)
	WatchEvery time.Duration
}

const (
	quietAfter = 300 * time.Millisecond
	quietEvery = 100 * time.Millisecond
	// wakeEvery is how often it is looked whether a request has ended, idleEvery how often time is let pass for the
	// dish while none is under way.
	wakeEvery = 10 * time.Millisecond
	idleEvery = 100 * time.Millisecond
)

// NewServer returns a server. The line's Read blocks, and ends with an error
// when the line is closed. A server runs once.
func NewServer(s *Slave, line io.ReadWriteCloser) *Server {
	return &Server{slave: s, line: line, tasks: make(chan func()), done: make(chan struct{})}
}

// Do has f called from Run's goroutine, where the enclosure and its dish may be
// changed, and waits for it. It does nothing once Run has ended.
func (s *Server) Do(f func()) {
	ran := make(chan struct{})
	select {
	case s.tasks <- func() { f(); close(ran) }:
		<-ran
	case <-s.done:
	}
}

// Run answers until the context ends or the line fails; it closes the line.
func (s *Server) Run(ctx context.Context) error {
	defer close(s.done)
	heard := make(chan []byte)
	failed := make(chan error, 2)
	say := make(chan []byte, 1)
	ended, end := context.WithCancel(ctx)
	readerEnded, writerEnded := make(chan struct{}), make(chan struct{})
	go func() { defer close(readerEnded); failed <- s.hear(ended, heard) }()
	go func() { defer close(writerEnded); failed <- s.say(say) }()
	err := s.live(ctx, heard, say, failed)
	end()
	close(say)
	closing := s.line.Close()
	<-readerEnded
	<-writerEnded
	if err == nil {
		err = closing
	}
	return err
}

// hear passes on what the line brings.
func (s *Server) hear(ctx context.Context, heard chan<- []byte) error {
	for {
		buffer := make([]byte, 512)
		n, err := s.line.Read(buffer)
		if n > 0 {
			select {
			case heard <- buffer[:n]:
			case <-ctx.Done():
				return nil
			}
		}
		if err != nil {
			return fmt.Errorf("reading the line: %w", err)
		}
	}
}

// say writes replies. It may block where nobody reads them; the enclosure goes on living.
func (s *Server) say(replies <-chan []byte) error {
	var err error
	for p := range replies {
		if _, e := s.line.Write(p); e != nil && err == nil {
			err = fmt.Errorf("writing a reply: %w", e)
			return err
		}
	}
	return nil
}

// live lets time pass and carries bytes between line and slave.
func (s *Server) live(ctx context.Context, heard <-chan []byte, say chan<- []byte, failed <-chan error) error {
	began := time.Now()
	now := func() time.Duration { return time.Since(began) }
	wake := time.NewTimer(wakeEvery)
	defer wake.Stop()
	rest, underWay := idleEvery, false // a request has begun, and isn't answered yet
	if s.Watch != nil {
		rest = max(wakeEvery, min(rest, s.WatchEvery))
	}
	reply := time.NewTimer(time.Hour)
	defer reply.Stop()
	lastHeard, lastQuiet, lastWatch := now(), time.Duration(0), -s.WatchEvery
	start := s.slave.enclosure.Now()
	for {
		select {
		case <-ctx.Done():
			return nil
		case err := <-failed:
			if errors.Is(err, context.Canceled) {
				return nil
			}
			return err
		case p := <-heard:
			lastHeard = now()
			s.slave.Run(start + lastHeard)
			s.slave.Hear(p, start+lastHeard)
			underWay = true
			wake.Reset(wakeEvery)
		case f := <-s.tasks:
			f()
		case <-reply.C:
			s.leave(say)
		case <-wake.C:
			s.slave.Run(start + now())
			if underWay = underWay && now()-lastHeard < quietAfter; underWay {
				wake.Reset(wakeEvery)
			} else {
				wake.Reset(rest)
			}
		}
		if _, at, ok := s.slave.Say(); ok {
			underWay = false
			reply.Reset(max(0, at-start-now()))
		}
		if t := now(); s.Watch != nil && t-lastWatch >= s.WatchEvery {
			lastWatch = max(lastWatch+s.WatchEvery, t-s.WatchEvery)
			s.slave.Run(start + t)
			s.Watch(s.slave.enclosure)
		}
		if t := now(); s.Quiet != nil && t-lastHeard >= quietAfter && t-lastQuiet >= quietEvery {
			lastQuiet = t
			s.Quiet()
		}
	}
}

// leave hands the waiting reply to the writer; where the last one has not left
// yet nobody is reading, and it is dropped.
func (s *Server) leave(say chan<- []byte) {
	p, _, ok := s.slave.Say()
	if !ok {
		return
	}
	select {
	case say <- append([]byte(nil), p...):
	default:
	}
	s.slave.Said()
}
