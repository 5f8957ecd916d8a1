// Package regular reads regular files alone, and no more of them than is
// wanted. A pipe that nobody writes to, a device without an end or a file that
// is far too large is refused at once instead of waited for.
package regular

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
)

// ErrKind: what lies there is no regular file. ErrSize: it has more bytes than are read.
var (
	ErrKind = errors.New("not a regular file")
	ErrSize = errors.New("too large")
)

// Open opens a file for reading; symbolic links are followed. It never waits.
func Open(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|nonBlocking, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	switch {
	case err != nil:
	case info.IsDir():
		err = &fs.PathError{Op: "open", Path: path, Err: syscall.EISDIR}
	case !info.Mode().IsRegular():
		err = &fs.PathError{Op: "open", Path: path, Err: ErrKind}
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// Read reads a whole file of at most maxBytes.
func Read(path string, maxBytes int) ([]byte, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := All(f, maxBytes)
	if err != nil {
		return nil, &fs.PathError{Op: "read", Path: path, Err: err}
	}
	return text, nil
}

// All reads a stream to its end, or refuses it when it has more than maxBytes.
func All(from io.Reader, maxBytes int) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(from, int64(maxBytes)+1))
	if err == nil && len(text) > maxBytes {
		return nil, fmt.Errorf("%w: more than %d bytes", ErrSize, maxBytes)
	}
	return text, err
}
