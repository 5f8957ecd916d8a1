package serve

import (
	"errors"
	"fmt"
	"os"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// Terminal is a pseudo-terminal: a serial port without a wire. The enclosure
// is at its master side; the panel opens Path as it would open /dev/ttyUSB0.
type Terminal struct {
	*os.File          // the master side
	held     *os.File // the slave side, held open so that the master side outlives its users
	// Path of the slave side.
	Path string
}

// OpenTerminal opens a pseudo-terminal that passes every byte as it is.
func OpenTerminal() (*Terminal, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, fmt.Errorf("opening a pseudo-terminal: %w", err)
	}
	t := &Terminal{master, slave, slave.Name()}
	if err := t.raw(); err != nil {
		return nil, errors.Join(err, t.Close())
	}
	if t.File, err = interruptible(master); err != nil {
		return nil, errors.Join(err, slave.Close())
	}
	return t, nil
}

// interruptible returns the file as one whose Read ends when it is closed; the
// package that opens terminals leaves them blocking.
func interruptible(f *os.File) (*os.File, error) {
	fd, err := unix.FcntlInt(f.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err == nil {
		err = unix.SetNonblock(fd, true)
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, fmt.Errorf("opening a pseudo-terminal: %w", err)
	}
	return os.NewFile(uintptr(fd), f.Name()), nil
}

// raw stops the terminal from changing, echoing or interpreting bytes.
func (t *Terminal) raw() error {
	return t.control("making it raw", func(fd int) error {
		s, err := unix.IoctlGetTermios(fd, unix.TCGETS)
		if err != nil {
			return err
		}
		s.Iflag, s.Oflag, s.Lflag = 0, 0, 0
		s.Cflag = s.Cflag&^(unix.CSIZE|unix.PARENB) | unix.CS8 | unix.CREAD | unix.CLOCAL
		s.Cc[unix.VMIN], s.Cc[unix.VTIME] = 1, 0
		return unix.IoctlSetTermios(fd, unix.TCSETS, s)
	})
}

// Release takes back the exclusive use of the port that a program has claimed:
// the claim outlives a program that was killed, because the slave side is held open.
func (t *Terminal) Release() error {
	return t.control("releasing it", func(fd int) error { return unix.IoctlSetInt(fd, unix.TIOCNXCL, 0) })
}

func (t *Terminal) control(what string, f func(fd int) error) error {
	raw, err := t.held.SyscallConn()
	if err != nil {
		return fmt.Errorf("pseudo-terminal %s: %s: %w", t.Path, what, err)
	}
	var inner error
	if err := raw.Control(func(fd uintptr) { inner = f(int(fd)) }); err != nil {
		inner = err
	}
	if inner != nil {
		return fmt.Errorf("pseudo-terminal %s: %s: %w", t.Path, what, inner)
	}
	return nil
}

// Close closes both sides.
func (t *Terminal) Close() error { return errors.Join(t.held.Close(), t.File.Close()) }
