//go:build linux

package serialport

import (
	"context"
	"sync"
	"syscall"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// name is the port's in its folder.
const name = "port"

// root is the folder with the port in it.
type root struct {
	fs.Inode
	port *Port
}

var _ fs.NodeOnAdder = (*root)(nil)

// OnAdd implements fs.NodeOnAdder.
func (r *root) OnAdd(ctx context.Context) {
	file := r.NewPersistentInode(ctx, &file{port: r.port}, fs.StableAttr{Mode: fuse.S_IFREG})
	r.AddChild(name, file, false)
}

// file is the port as a file.
type file struct {
	fs.Inode
	port *Port
}

var (
	_ fs.NodeOpener    = (*file)(nil)
	_ fs.NodeGetattrer = (*file)(nil)
	_ fs.NodeWriter    = (*file)(nil)
	_ fs.NodeIoctler   = (*file)(nil)
	_ fs.FileReleaser  = (*opening)(nil)
)

// opening is one opening of the port, over when the last descriptor of it is closed.
type opening struct {
	port *Port
	once sync.Once
}

// Getattr implements fs.NodeGetattrer.
func (f *file) Getattr(_ context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	out.Mode = fuse.S_IFREG | 0o600
	return 0
}

// Open implements fs.NodeOpener.
func (f *file) Open(context.Context, uint32) (fs.FileHandle, uint32, syscall.Errno) {
	f.port.opened()
	return &opening{port: f.port}, fuse.FOPEN_DIRECT_IO, 0
}

// Release implements fs.FileReleaser.
func (o *opening) Release(context.Context) syscall.Errno {
	o.once.Do(o.port.closed)
	return 0
}

// Write implements fs.NodeWriter: the bytes are lost.
func (f *file) Write(_ context.Context, _ fs.FileHandle, data []byte, _ int64) (uint32, syscall.Errno) {
	return uint32(len(data)), 0
}

// Ioctl implements fs.NodeIoctler.
func (f *file) Ioctl(ctx context.Context, _ fs.FileHandle, cmd uint32, arg uint64, _, _ []byte) (int32, syscall.Errno) {
	caller, known := fuse.FromContext(ctx)
	if !known {
		return 0, syscall.ENOTTY
	}
	return 0, f.port.order(int(caller.Pid), cmd, uintptr(arg))
}
