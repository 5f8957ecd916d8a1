//go:build !linux

package serve

import (
	"errors"
	"io"
)

// Terminal is a pseudo-terminal; there is none here.
type Terminal struct {
	io.ReadWriteCloser
	Path string
}

// OpenTerminal says that there are no pseudo-terminals here; Pipe serves within the program.
func OpenTerminal() (*Terminal, error) {
	return nil, errors.New("opening a pseudo-terminal: not possible on this system")
}

// Release does nothing.
func (t *Terminal) Release() error { return nil }
