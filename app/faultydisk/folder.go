//go:build linux

package faultydisk

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"syscall"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// kept is a file or a folder.
type kept interface {
	fs.InodeEmbedder
	surviving(path string, keep func() bool) error
	describe(*fuse.Attr)
}

// folder is one with the names that it surely has after a cut, and what was done since.
type folder struct {
	fs.Inode
	disk    *Disk
	durable map[string]kept
	pending []change
}

// change gives a name to what, and takes the name from away, each unless empty.
type change struct {
	name, from string
	what       kept
}

var (
	_ fs.NodeLookuper  = (*folder)(nil)
	_ fs.NodeCreater   = (*folder)(nil)
	_ fs.NodeMkdirer   = (*folder)(nil)
	_ fs.NodeUnlinker  = (*folder)(nil)
	_ fs.NodeRmdirer   = (*folder)(nil)
	_ fs.NodeRenamer   = (*folder)(nil)
	_ fs.NodeFsyncer   = (*folder)(nil)
	_ fs.NodeSetattrer = (*folder)(nil)
	_ fs.NodeGetattrer = (*folder)(nil)
)

func newFolder(d *Disk) *folder { return &folder{disk: d, durable: map[string]kept{}} }

// to does the change to names.
func (c change) to(names map[string]kept) {
	if c.from != "" {
		delete(names, c.from)
	}
	if c.name != "" {
		names[c.name] = c.what
	}
}

// surviving writes what a cut leaves of the folder.
func (f *folder) surviving(path string, keep func() bool) error {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return err
	}
	names := maps.Clone(f.durable)
	for _, c := range f.pending {
		if keep() {
			c.to(names)
		}
	}
	for name, what := range names {
		if err := what.surviving(filepath.Join(path, name), keep); err != nil {
			return err
		}
	}
	return nil
}

// change notes a change, unless the disk fails it.
func (f *folder) change(ctx context.Context, c change) syscall.Errno {
	if errno := f.disk.enter(ctx, true); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	f.pending = append(f.pending, c)
	return 0
}

// Lookup implements fs.NodeLookuper.
func (f *folder) Lookup(ctx context.Context, name string, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	if errno := f.disk.enter(ctx, false); errno != 0 {
		return nil, errno
	}
	defer f.disk.mu.Unlock()
	child := f.GetChild(name)
	if child == nil {
		return nil, syscall.ENOENT
	}
	child.Operations().(kept).describe(&out.Attr)
	return child, 0
}

// Create implements fs.NodeCreater.
func (f *folder) Create(ctx context.Context, name string, _, _ uint32, out *fuse.EntryOut) (*fs.Inode, fs.FileHandle,
	uint32, syscall.Errno) {
	made := &file{disk: f.disk}
	if errno := f.change(ctx, change{name: name, what: made}); errno != 0 {
		return nil, nil, 0, errno
	}
	made.describe(&out.Attr)
	return f.NewPersistentInode(ctx, made, fs.StableAttr{Mode: syscall.S_IFREG}), nil, 0, 0
}

// Mkdir implements fs.NodeMkdirer.
func (f *folder) Mkdir(ctx context.Context, name string, _ uint32, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	made := newFolder(f.disk)
	if errno := f.change(ctx, change{name: name, what: made}); errno != 0 {
		return nil, errno
	}
	made.describe(&out.Attr)
	return f.NewPersistentInode(ctx, made, fs.StableAttr{Mode: syscall.S_IFDIR}), 0
}

// Unlink implements fs.NodeUnlinker.
func (f *folder) Unlink(ctx context.Context, name string) syscall.Errno {
	return f.change(ctx, change{from: name})
}

// Rmdir implements fs.NodeRmdirer.
func (f *folder) Rmdir(ctx context.Context, name string) syscall.Errno {
	if dir := f.GetChild(name); dir != nil && len(dir.Children()) > 0 {
		return syscall.ENOTEMPTY
	}
	return f.change(ctx, change{from: name})
}

// Rename implements fs.NodeRenamer, within one folder only.
func (f *folder) Rename(ctx context.Context, name string, parent fs.InodeEmbedder, newName string,
	flags uint32) syscall.Errno {
	moved := f.GetChild(name)
	if moved == nil {
		return syscall.ENOENT
	}
	if parent != fs.InodeEmbedder(f) || flags != 0 {
		return syscall.EXDEV
	}
	return f.change(ctx, change{name: newName, from: name, what: moved.Operations().(kept)})
}

// Fsync implements fs.NodeFsyncer.
func (f *folder) Fsync(ctx context.Context, _ fs.FileHandle, _ uint32) syscall.Errno {
	if errno := f.disk.enter(ctx, true); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	for _, c := range f.pending {
		c.to(f.durable)
	}
	f.pending = nil
	return 0
}

// Setattr implements fs.NodeSetattrer; nothing is set.
func (f *folder) Setattr(ctx context.Context, h fs.FileHandle, _ *fuse.SetAttrIn, out *fuse.AttrOut) syscall.Errno {
	return f.Getattr(ctx, h, out)
}

// Getattr implements fs.NodeGetattrer.
func (f *folder) Getattr(ctx context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	if errno := f.disk.enter(ctx, false); errno != 0 {
		return errno
	}
	defer f.disk.mu.Unlock()
	f.describe(&out.Attr)
	return 0
}

func (f *folder) describe(a *fuse.Attr) { a.Mode = syscall.S_IFDIR | 0o700 }
