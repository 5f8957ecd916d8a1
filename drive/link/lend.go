package link

import (
	"context"
	"errors"
)

// ErrLent: the port is given up for a while, to whoever asked for it.
var ErrLent = errors.New("the port is lent: the firmware of the enclosure is being written or read")

// lending asks for the port: closed is closed once it is free, back when it may be opened again.
type lending struct{ closed, back chan struct{} }

// Lend closes the port, after the same last words as Run's end, and keeps it
// closed until back is called. It waits for that until the context ends.
func (p *Port) Lend(ctx context.Context) (back func(), err error) {
	l := lending{make(chan struct{}), make(chan struct{})}
	select {
	case p.lendings <- l:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	select {
	case <-l.closed:
		return func() { close(l.back) }, nil
	case <-ctx.Done():
		close(l.back)
		return nil, ctx.Err()
	}
}

// lend waits until the port is given back; false where the context ends before.
func (p *Port) lend(ctx context.Context, l *lending) bool {
	p.troubled(ErrLent)
	close(l.closed)
	select {
	case <-l.back:
		return true
	case <-ctx.Done():
		return false
	}
}
