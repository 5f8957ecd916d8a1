//go:build linux

package faultydisk

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"syscall"
	"testing"
)

// surviving is what a cut leaves of a file; nil for none.
func surviving(t *testing.T, d *Disk, name string, keeping float64) []byte {
	t.Helper()
	into := t.TempDir()
	if err := d.Surviving(into, rand.New(rand.NewPCG(1, 2)), keeping); err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(filepath.Join(into, name))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return content
}

func do(t *testing.T, all ...error) {
	t.Helper()
	if err := errors.Join(all...); err != nil {
		t.Fatal(err)
	}
}

// TestWhatSurvives follows a file from its making to its renaming through a cut after each step.
func TestWhatSurvives(t *testing.T) {
	d := Mount(t)
	path := filepath.Join(d.Folder, "a")
	folder, err := os.Open(d.Folder)
	do(t, err)
	defer folder.Close()
	f, err := os.Create(path)
	do(t, err)
	defer f.Close()
	old := bytes.Repeat([]byte("old."), 512)
	_, err = f.Write(old)
	do(t, err)
	want := func(step, name string, nothingKept, allKept []byte) {
		t.Helper()
		if got := surviving(t, d, name, 0); !bytes.Equal(got, nothingKept) {
			t.Errorf("%s: %q is left where nothing is kept", step, got)
		}
		if got := surviving(t, d, name, 1); !bytes.Equal(got, allKept) {
			t.Errorf("%s: %q is left where all is kept", step, got)
		}
	}
	want("written", "a", nil, old)
	do(t, f.Sync())
	want("the file brought to the disk, but not its name", "a", nil, old)
	do(t, folder.Sync())
	want("its name too", "a", old, old)
	_, err = f.WriteAt([]byte("NEW!"), 4)
	do(t, err)
	now := append(append([]byte("old."), "NEW!"...), old[8:]...)
	want("changed in place", "a", old, now)
	do(t, f.Truncate(4))
	want("cut off", "a", old, []byte("old."))
	do(t, f.Sync(), os.Rename(path, filepath.Join(d.Folder, "b")))
	want("renamed: the old name", "a", []byte("old."), nil)
	want("renamed: the new name", "b", nil, []byte("old."))
	do(t, folder.Sync())
	want("the new name brought to the disk", "b", []byte("old."), []byte("old."))
	if got, err := os.ReadFile(filepath.Join(d.Folder, "b")); err != nil || string(got) != "old." {
		t.Errorf("read while it is there: %q, %v", got, err)
	}
	do(t, os.Remove(filepath.Join(d.Folder, "b")))
	want("removed", "b", []byte("old."), nil)
}

// TestTornSectors: what was not brought to the disk is parted at 512 bytes and nowhere else.
func TestTornSectors(t *testing.T) {
	d := Mount(t)
	f, err := os.Create(filepath.Join(d.Folder, "a"))
	do(t, err)
	defer f.Close()
	folder, err := os.Open(d.Folder)
	do(t, err)
	defer folder.Close()
	_, err = f.Write(bytes.Repeat([]byte{'x'}, 16*sector))
	do(t, err, f.Sync(), folder.Sync())
	_, err = f.WriteAt(bytes.Repeat([]byte{'y'}, 15*sector), 100)
	do(t, err)
	got := surviving(t, d, "a", 0.5)
	kinds := map[byte]int{}
	for at := 0; at < len(got); at += sector {
		whole := got[at : at+sector]
		if at == 0 {
			whole = whole[100:]
		} else if at == 15*sector {
			whole = whole[:100]
		}
		if bytes.Count(whole, whole[:1]) != len(whole) {
			t.Errorf("the sector at %d is torn within", at)
		}
		kinds[whole[0]]++
	}
	if kinds['x'] == 0 || kinds['y'] == 0 || len(got) != 16*sector {
		t.Errorf("%v sectors in %d bytes", kinds, len(got))
	}
}

// TestAfterTheCut: the cut comes when it should, and everything fails from then on.
func TestAfterTheCut(t *testing.T) {
	d := Mount(t)
	f, err := os.Create(filepath.Join(d.Folder, "a"))
	do(t, err)
	defer f.Close()
	var cut atomic.Bool
	d.CutAfter(2, func() { cut.Store(true) })
	_, err = f.Write([]byte("one"))
	do(t, err, f.Sync())
	if cut.Load() {
		t.Error("cut too early")
	}
	if _, err := f.Write([]byte("two")); !errors.Is(err, syscall.EIO) || !cut.Load() {
		t.Errorf("after the cut: %v", err)
	}
	if got := surviving(t, d, "a", 1); string(got) != "one" {
		t.Errorf("%q is left", got)
	}
}

// TestHangs: nothing is answered while the disk hangs.
func TestHangs(t *testing.T) {
	d := Mount(t)
	path := filepath.Join(d.Folder, "a")
	do(t, os.WriteFile(path, []byte("one"), 0o600))
	d.Hang()
	read := make(chan error, 1)
	go func() {
		_, err := os.ReadFile(path)
		read <- err
	}()
	for d.Waiting() == 0 {
		select {
		case err := <-read:
			t.Fatalf("it answers: %v", err)
		default:
			runtime.Gosched()
		}
	}
	d.Answer()
	do(t, <-read)
}
