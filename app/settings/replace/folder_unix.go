//go:build unix

package replace

import (
	"errors"
	"os"
	"syscall"
)

// bring brings the folder's new entry to the disk. The new file is in place
// already: a file system that can't do this isn't an error.
func bring(folder string) error {
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, syscall.ENOTSUP) {
		return err
	}
	return nil
}
