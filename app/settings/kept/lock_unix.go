//go:build unix

package kept

import (
	"errors"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"

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
			err = ErrLocked
		}
		return nil, err
	}
	return f, nil
}
