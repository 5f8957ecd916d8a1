//go:build !unix

package link

import (
	"errors"
	"os"
)

// ErrInUse: another program on this computer uses the port.
var ErrInUse = errors.New("another program, perhaps a second panel, is using it")

// claim does nothing: here the system itself gives a port to one program only.
func claim(string) (*os.File, error) { return nil, nil }

// Free says nothing here: opening the port will.
func Free(string) error { return nil }
