//go:build unix

package kept

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"

	"beamhelm/app/regular"
	"beamhelm/app/settings/replace"
)

func locked(path string) (*os.File, error) {
	if err := replace.Folder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|unix.O_NOFOLLOW|unix.O_NONBLOCK, 0o600)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		if errors.Is(err, unix.EWOULDBLOCK) {
			err = holder(path)
		}
		return nil, err
	}
	// Who is kept out is told by whom; that it can't be written changes nothing.
	if f.Truncate(0) == nil {
		fmt.Fprintln(f, os.Getpid())
	}
	return f, nil
}

// holder is ErrLocked, with the number of the process that holds the lock where it is known.
func holder(path string) error {
	text, err := regular.Read(path, 64)
	number, wrong := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil || wrong != nil {
		return ErrLocked
	}
	return fmt.Errorf("%w: process %d; look for its window", ErrLocked, number)
}
