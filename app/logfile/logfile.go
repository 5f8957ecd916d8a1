// Package logfile keeps the program's own log in two files of bounded size. Who
// logs never waits for the disk: lines go into a bounded queue, and what doesn't
// fit is dropped and counted.
package logfile

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"beamhelm/app/regular"
	"beamhelm/app/settings/replace"
	"beamhelm/ending"
)

// Name is that of the newer file in the folder of what is kept. The older one has Older behind it.
const (
	Name  = "beamhelm.log"
	Older = ".1"
)

// MaxBytes is how large a file grows before it becomes the older one.
const MaxBytes = 4 << 20

const (
	maxWaiting = 1024 // lines
	retryEvery = 5 * time.Second
)

// File is a log. Its methods may be called from any goroutine; Write never waits.
type File struct {
	path     string
	maxBytes int64
	lines    chan []byte
	flushes  chan chan struct{}
	ended    chan struct{}
	dropped  atomic.Uint64

	// Of Run's goroutine:
	file  *os.File
	size  int64
	retry time.Time
}

// New returns a log at a path. It opens nothing: Run does.
func New(path string) *File {
	return &File{path: path, maxBytes: MaxBytes, lines: make(chan []byte, maxWaiting),
		flushes: make(chan chan struct{}),
		ended:   make(chan struct{})}
}

// Write takes a line, or counts it as dropped. It never fails.
func (f *File) Write(line []byte) (int, error) {
	select {
	case f.lines <- bytes.Clone(line):
	default:
		f.dropped.Add(1)
	}
	return len(line), nil
}

// Run writes lines until the context ends; then it writes what still waits.
func (f *File) Run(ctx context.Context) {
	defer close(f.ended)
	for {
		ending.Here("log")
		select {
		case line := <-f.lines:
			f.put(line)
		case done := <-f.flushes:
			f.drain()
			close(done)
		case <-ctx.Done():
			f.drain()
			f.close()
			return
		}
	}
}

// Flush waits until what was taken before is in the file, but for no longer than that.
func (f *File) Flush(within time.Duration) {
	late := time.After(within)
	done := make(chan struct{})
	select {
	case f.flushes <- done:
	case <-f.ended:
		return
	case <-late:
		return
	}
	select {
	case <-done:
	case <-late:
	}
}

func (f *File) drain() {
	for {
		select {
		case line := <-f.lines:
			f.put(line)
		default:
			return
		}
	}
}

// put writes a line, after a word of those that were dropped before it.
func (f *File) put(line []byte) {
	if err := f.ready(time.Now()); err != nil {
		f.dropped.Add(1)
		return
	}
	dropped := f.dropped.Swap(0)
	if dropped > 0 {
		line = append(fmt.Appendf(nil, "time=%s level=WARN msg=\"log lines dropped\" lines=%d\n",
			time.Now().UTC().Format(timeForm), dropped), line...)
	}
	n, err := f.file.Write(line)
	f.size += int64(n)
	if err != nil {
		f.dropped.Add(dropped + 1)
		f.close()
		f.retry = time.Now().Add(retryEvery)
	}
}

// ready opens the file where none is open, and begins a new one where it is full.
func (f *File) ready(now time.Time) error {
	if f.file != nil && f.size >= f.maxBytes {
		f.close()
		if err := os.Rename(f.path, f.path+Older); err != nil {
			return err
		}
	}
	switch {
	case f.file != nil:
		return nil
	case now.Before(f.retry):
		return os.ErrDeadlineExceeded
	}
	err := f.open()
	if err != nil {
		f.retry = now.Add(retryEvery)
	}
	return err
}

func (f *File) open() error {
	if err := replace.Folder(filepath.Dir(f.path)); err != nil {
		return err
	}
	// Opening a pipe would wait for its reader.
	if about, err := os.Lstat(f.path); err == nil && !about.Mode().IsRegular() {
		return &fs.PathError{Op: "open", Path: f.path, Err: regular.ErrKind}
	}
	file, err := os.OpenFile(f.path, os.O_RDWR|os.O_APPEND|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	size, err := endLine(file)
	if err != nil {
		file.Close()
		return err
	}
	f.file, f.size = file, size
	return nil
}

// endLine ends a line that a full disk or a kill left without its end, so that
// the next one stands alone, and returns the file's size.
func endLine(file *os.File) (size int64, err error) {
	about, err := file.Stat()
	if err != nil {
		return 0, err
	}
	var last [1]byte
	if size = about.Size(); size == 0 {
		return 0, nil
	}
	if _, err := file.ReadAt(last[:], size-1); err != nil || last[0] == '\n' {
		return size, err
	}
	n, err := file.WriteString("\n")
	return size + int64(n), err
}

func (f *File) close() {
	if f.file != nil {
		f.file.Close()
		f.file = nil
	}
}
