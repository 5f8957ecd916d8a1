package practice

import (
	"context"
	"errors"
	"time"

	"beamhelm/drive/link"
	"beamhelm/drive/replica/serve"
)

// Served is a dish that lives in real time at the end of a line.
type Served struct {
	*Dish
	// Open opens the panel's end of the line; Path is its port, empty where there is none.
	Open link.Opener
	Path string

	server *serve.Server
	line   *faultyLine
}

// Serve opens a line for the dish. Run lets it live.
func (d *Dish) Serve(baud int) (*Served, error) {
	l, err := openLine(baud)
	if err != nil {
		return nil, err
	}
	line := &faultyLine{ReadWriteCloser: l.far}
	s := &Served{Dish: d, Open: l.near, Path: l.path, line: line, server: serve.NewServer(d.slave, line)}
	s.server.Quiet = l.quiet
	return s, nil
}

// Watch has f called every so often, from Run's goroutine. Call it before Run.
func (s *Served) Watch(every time.Duration, f func(*serve.Enclosure)) {
	s.server.Watch, s.server.WatchEvery = f, every
}

// Run lets the dish live until the context ends.
func (s *Served) Run(ctx context.Context) error {
	err := s.server.Run(ctx)
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
