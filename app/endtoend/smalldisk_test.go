//go:build linux && (window || planted)

package endtoend

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// smallDisk mounts a disk of a few megabytes at a folder. Where that isn't
// allowed it says so, loudly: then the limit of file size stands for it.
func smallDisk(t *testing.T, folder string) bool {
	t.Helper()
	if err := os.MkdirAll(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("small", folder, "tmpfs", 0, "size=6m,mode=700"); err != nil {
		t.Logf("NO SMALL DISK (%v): it takes the right to mount; a limit of file size stands for it here", err)
		return false
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, syscall.MNT_DETACH); err != nil {
			t.Errorf("unmounting: %v", err)
		}
	})
	return true
}

// fillDisk fills a disk up to its last byte, and returns what makes room again.
func fillDisk(t *testing.T, folder string) func() {
	t.Helper()
	path := filepath.Join(folder, "filler")
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	for size := 1 << 16; size > 0; size /= 2 { // to the last byte
		for err = nil; err == nil; _, err = file.Write(make([]byte, size)) {
		}
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	return func() {
		if err := os.Remove(path); err != nil {
			t.Error(err)
		}
	}
}

// leaveRoom takes so many bytes away from what fills a disk.
func leaveRoom(t *testing.T, folder string, bytes int64) {
	t.Helper()
	path := filepath.Join(folder, "filler")
	about, err := os.Stat(path)
	if err == nil {
		err = os.Truncate(path, about.Size()-bytes)
	}
	if err != nil {
		t.Fatal(err)
	}
}
