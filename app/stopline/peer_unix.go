//go:build unix

package stopline

import (
	"errors"
	"fmt"
	"net"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// isDead reports that nobody listens on a socket any more.
func isDead(err error) bool {
	return errors.Is(err, unix.ECONNREFUSED) || errors.Is(err, unix.ENOENT)
}

// isBusy reports that a socket takes no more callers at the moment.
func isBusy(err error) bool { return errors.Is(err, unix.EAGAIN) }

func ownedBy(info os.FileInfo, user int) bool {
	stat, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(stat.Uid) == user
}

func othersMayEnter(info os.FileInfo) bool { return info.Mode().Perm()&0o077 != 0 }

func othersMayReplace(above os.FileInfo) bool {
	return above.Mode().Perm()&0o022 != 0 && above.Mode()&os.ModeSticky == 0
}

// trusted reports that this user, or the superuser, is at the other end.
func trusted(connection *net.UnixConn) error {
	raw, err := connection.SyscallConn()
	if err != nil {
		return err
	}
	user, wrong := -1, error(nil)
	if err := raw.Control(func(descriptor uintptr) { user, wrong = peerOf(int(descriptor)) }); err != nil ||
		wrong != nil {
		return fmt.Errorf("who is at the other end is not known: %w", errors.Join(err, wrong))
	}
	return isTrusted(user)
}

func isTrusted(user int) error {
	if user != os.Getuid() && user != 0 {
		return fmt.Errorf("user %d is at the other end, not %d", user, os.Getuid())
	}
	return nil
}
