package offwindow

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"

	"beamhelm/app/settings/replace"
)

// MaxImport is the size of the largest file that is taken in, bytes.
const MaxImport = 1 << 20

// Read returns a whole file of at most MaxImport bytes. What isn't a regular
// file (a pipe, a device, a folder) is refused without being opened.
func Read(_ Context, path string) ([]byte, error) {
	if path = strings.TrimSpace(path); path == "" {
		return nil, errors.New("a path is needed")
	}
	about, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %s", path)
	case err != nil:
		return nil, err
	case !about.Mode().IsRegular():
		return nil, fmt.Errorf("%s is not a regular file", path)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	// Its size may say less than it holds, and it may grow.
	text, err := io.ReadAll(io.LimitReader(file, MaxImport+1))
	if err != nil {
		return nil, err
	}
	if len(text) > MaxImport {
		return nil, fmt.Errorf("%s is longer than %d KiB", path, MaxImport>>10)
	}
	return text, nil
}

// ErrExists says that there is such a file already.
var ErrExists = errors.New("there is such a file already")

// Unwritten says why a file wasn't written, or that nobody knows.
func Unwritten(err error) string {
	if errors.Is(err, ErrNoAnswer) {
		return "The disk doesn't answer: it may still be written, or not"
	}
	return fmt.Sprintf("Not written: %v", reason(err))
}

// reason is what a disk answered, without the names of files: which one it is about can be seen beside it.
func reason(err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		return errors.New("the disk is full")
	}
	var code syscall.Errno
	if errors.As(err, &code) {
		return code
	}
	return err
}

// Write writes a whole file, as replace.File does. A file that is there is
// replaced only where over is true.
func Write(_ Context, path string, text []byte, over bool) error {
	if _, err := os.Stat(path); err == nil && !over {
		return ErrExists
	}
	return replace.File(path, text)
}
