//go:build unix

package link

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// ErrInUse: another program on this computer uses the port.
var ErrInUse = errors.New("another program, perhaps a second panel, is using it")

// claim holds a port against other panels for as long as the file is open. The
// kernel's exclusive use of a terminal does not keep out a privileged user;
// this lock does, and a program that dies gives it back.
func claim(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		if errors.Is(err, unix.EBUSY) {
			err = ErrInUse
		}
		return nil, fmt.Errorf("opening serial port %s: %w", path, err)
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		if errors.Is(err, unix.EWOULDBLOCK) {
			err = ErrInUse
		}
		return nil, fmt.Errorf("opening serial port %s: %w", path, err)
	}
	return f, nil
}

// Free reports ErrInUse where another program uses the port now, and what else
// keeps it from being opened.
func Free(path string) error {
	f, err := claim(path)
	if err != nil {
		return err
	}
	return f.Close()
}
