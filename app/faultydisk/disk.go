//go:build linux

// Package faultydisk is a disk for tests: a file system in memory, mounted by
// FUSE, that forgets at a power cut what was not brought to it by fsync, and
// can stop answering. It takes the right to mount.
//
// Of a file, what was written since its last fsync survives a cut sector by
// sector, or not at all, in any combination; so does a change of its length. Of
// a folder, the same holds of each name given, taken or changed since the fsync
// of the folder. An fsync of a file does not keep its name, as POSIX allows.
// Left out are permissions, times and links.
package faultydisk

import (
	"context"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// Disk is a mounted one.
type Disk struct {
	// Folder is where it is mounted.
	Folder string

	mu   sync.Mutex
	root *folder
	// cutAfter changes and syncs the power is cut; negative for never.
	cutAfter int
	atCut    func()
	off      bool
	hangs    chan struct{} // closed when it answers again; nil while it answers
	waiting  atomic.Int32
}

// Mount mounts an empty disk until the end of the test. Processes that use it
// must have ended by then.
func Mount(t testing.TB) *Disk {
	t.Helper()
	d := &Disk{Folder: t.TempDir(), cutAfter: -1}
	d.root = newFolder(d)
	options := &fs.Options{MountOptions: fuse.MountOptions{DirectMountStrict: true, FsName: "faultydisk",
		Name: "faultydisk", DisableXAttrs: true}}
	server, err := fs.Mount(d.Folder, d.root, options)
	if err != nil {
		t.Fatalf("a disk for tests (it takes the right to mount): %v", err)
	}
	t.Cleanup(func() {
		d.Answer()
		if err := syscall.Unmount(d.Folder, syscall.MNT_FORCE|syscall.MNT_DETACH); err != nil {
			t.Errorf("unmounting: %v", err)
		}
		server.Wait()
	})
	return d
}

// Hang lets every program that touches the disk from now on wait, until it is
// killed or the disk answers again. What the kernel writes on its own behalf goes
// through: a program that has ended would have to wait for it.
func (d *Disk) Hang() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.hangs == nil {
		d.hangs = make(chan struct{})
	}
}

// Waiting is how many operations wait for an answer.
func (d *Disk) Waiting() int { return int(d.waiting.Load()) }

// Answer ends a hanging.
func (d *Disk) Answer() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.hangs != nil {
		close(d.hangs)
		d.hangs = nil
	}
}

// CutAfter cuts the power after that many changes and fsyncs more, counted over
// all files, and then calls then once. From the cut on everything fails.
func (d *Disk) CutAfter(changes int, then func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.cutAfter, d.atCut = changes, then
}

// Surviving writes to a folder what a cut now, or that which has been, leaves.
// Of what was not brought to the disk each piece is kept with the probability
// given, from 0 to 1.
func (d *Disk) Surviving(into string, random *rand.Rand, keeping float64) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.root.surviving(into, func() bool { return random.Float64() < keeping })
}

// enter begins an operation: it waits while the disk hangs, and fails when the
// power is off. A change or fsync counts. Without an error the disk is locked.
func (d *Disk) enter(ctx context.Context, counts bool) syscall.Errno {
	d.mu.Lock()
	for d.hangs != nil && ofProgram(ctx) {
		hangs := d.hangs
		d.mu.Unlock()
		if !d.await(ctx, hangs) {
			return syscall.EINTR
		}
		d.mu.Lock()
	}
	if counts && d.cutAfter == 0 && !d.off {
		d.off = true
		d.atCut()
	}
	if d.off {
		d.mu.Unlock()
		return syscall.EIO
	}
	if counts {
		d.cutAfter--
	}
	return 0
}

// ofProgram reports that a program asks, and not the kernel for itself.
func ofProgram(ctx context.Context) bool {
	caller, known := fuse.FromContext(ctx)
	return !known || caller.Pid != 0
}

// await waits for an answer; false when whoever asked was interrupted.
func (d *Disk) await(ctx context.Context, answer <-chan struct{}) bool {
	d.waiting.Add(1)
	defer d.waiting.Add(-1)
	select {
	case <-answer:
		return true
	case <-ctx.Done():
		return false
	}
}
