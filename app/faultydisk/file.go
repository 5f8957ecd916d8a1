//go:build linux

package faultydisk

import (
	"context"
	"os"
	"syscall"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// sector is what a disk writes whole or not at all, bytes.
const sector = 512

// file is one with what it holds now, what it surely holds after a cut, and what
// was done to it since.
type file struct {
	fs.Inode
	disk    *Disk
	now     []byte
	durable []byte
	pending []write
}

// write is data at an offset; without data the offset is a new length.
type write struct {
	offset int64
	data   []byte
}

var (
	_ fs.NodeOpener    = (*file)(nil)
	_ fs.NodeReader    = (*file)(nil)
	_ fs.NodeWriter    = (*file)(nil)
	_ fs.NodeGetattrer = (*file)(nil)
	_ fs.NodeSetattrer = (*file)(nil)
	_ fs.NodeFlusher   = (*file)(nil)
	_ fs.NodeFsyncer   = (*file)(nil)
)

// long is content of at least that length, filled up with zeros.
func long(content []byte, length int64) []byte {
	if missing := length - int64(len(content)); missing > 0 {
		content = append(content, make([]byte, missing)...)
	}
	return content
}

// to does the write to a content.
func (w write) to(content []byte) []byte {
	if w.data == nil {
		return long(content, w.offset)[:w.offset]
	}
	content = long(content, w.offset+int64(len(w.data)))
	copy(content[w.offset:], w.data)
	return content
}

// sectors are the pieces of a write that a cut can part.
func (w write) sectors() (pieces []write) {
	if w.data == nil {
		return []write{w}
	}
	for data, at := w.data, w.offset; len(data) > 0; {
		n := min(int64(len(data)), sector-at%sector)
		pieces = append(pieces, write{at, data[:n]})
		data, at = data[n:], at+n
	}
	return pieces
}

func (f *file) do(w write) {
	f.now = w.to(f.now)
	f.pending = append(f.pending, w)
}

// surviving writes what a cut leaves of the file.
func (f *file) surviving(path string, keep func() bool) error {
	content := append([]byte(nil), f.durable...)
	for _, w := range f.pending {
		for _, piece := range w.sectors() {
			if keep() {
				content = piece.to(content)
			}
		}
	}
	return os.WriteFile(path, content, 0o600)
}

// Open implements fs.NodeOpener.
func (f *file) Open(ctx context.Context, flags uint32) (fs.FileHandle, uint32, syscall.Errno) {
	if errno := f.disk.enter(ctx, false); errno != 0 {
		return nil, 0, errno
	}
	defer f.disk.mu.Unlock()
	return nil, 0, 0
}

// Read implements fs.NodeReader.
func (f *file) Read(ctx context.Context, _ fs.FileHandle, into []byte, offset int64) (fuse.ReadResult, syscall.Errno) {
	if errno := f.disk.enter(ctx, false); errno != 0 {
		return nil, errno
	}
	defer f.disk.mu.Unlock()
	length := int64(len(f.now))
	n := copy(into, f.now[min(offset, length):])
	return fuse.ReadResultData(into[:n]), 0
}

// Write implements fs.NodeWriter.
func (f *file) Write(ctx context.Context, _ fs.FileHandle, data []byte, offset int64) (uint32, syscall.Errno) {
	if errno := f.disk.enter(ctx, true); errno != 0 {
		return 0, errno
	}
	defer f.disk.mu.Unlock()
	f.do(write{offset, append([]byte{}, data...)})
	return uint32(len(data)), 0
}

// Getattr implements fs.NodeGetattrer.
func (f *file) Getattr(ctx context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	if errno := f.disk.enter(ctx, false); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	f.describe(&out.Attr)
	return 0
}

func (f *file) describe(a *fuse.Attr) { a.Mode, a.Size = syscall.S_IFREG|0o600, uint64(len(f.now)) }

// Setattr implements fs.NodeSetattrer; only the length is set.
func (f *file) Setattr(ctx context.Context, _ fs.FileHandle, in *fuse.SetAttrIn, out *fuse.AttrOut) syscall.Errno {
	length, cuts := in.GetSize()
	if errno := f.disk.enter(ctx, cuts); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	if cuts {
		f.do(write{offset: int64(length)})
	}
	f.describe(&out.Attr)
	return 0
}

// Flush implements fs.NodeFlusher: closing a file brings nothing to the disk.
func (f *file) Flush(context.Context, fs.FileHandle) syscall.Errno { return 0 }

// Fsync implements fs.NodeFsyncer.
func (f *file) Fsync(ctx context.Context, _ fs.FileHandle, _ uint32) syscall.Errno {
	if errno := f.disk.enter(ctx, true); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	for _, w := range f.pending {
		f.durable = w.to(f.durable)
	}
	f.pending = nil
	return 0
}
