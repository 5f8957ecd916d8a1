package link

import (
	"os"

	"golang.org/x/sys/unix"
)

// lower brings RTS and DTR down at once, and has both fall at the last close of the port, so also when the program
// dies. It reports false where there are no such lines, as at a pseudo-terminal.
func lower(port *os.File) bool {
	fd := int(port.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCMBIC, unix.TIOCM_RTS|unix.TIOCM_DTR); err != nil {
		return false
	}
	if mode, err := unix.IoctlGetTermios(fd, unix.TCGETS); err == nil {
		mode.Cflag |= unix.HUPCL // another program may have switched it off, which outlives a close
		_ = unix.IoctlSetTermios(fd, unix.TCSETS, mode)
	}
	return true
}
