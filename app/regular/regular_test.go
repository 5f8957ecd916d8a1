//go:build unix

package regular

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestRead(t *testing.T) {
	folder := t.TempDir()
	path, link, pipe := filepath.Join(folder, "file"), filepath.Join(folder, "link"), filepath.Join(folder, "pipe")
	for _, err := range []error{os.WriteFile(path, []byte("ten bytes."), 0o600), os.Symlink("file", link),
		syscall.Mkfifo(pipe, 0o600)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{path, link} {
		if text, err := Read(name, 10); err != nil || string(text) != "ten bytes." {
			t.Errorf("%s: %q, %v", name, text, err)
		}
	}
	if text, err := Read(path, 9); err == nil || text != nil || !strings.Contains(err.Error(), "more than 9 bytes") {
		t.Errorf("one byte too many: %q, %v", text, err)
	}
	// None of these may wait; the test's own time limit would tell.
	for _, name := range []string{pipe, "/dev/zero", "/dev/null"} {
		if _, err := Read(name, 10); !errors.Is(err, ErrKind) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Read(folder, 10); !errors.Is(err, syscall.EISDIR) {
		t.Errorf("a folder: %v", err)
	}
	if _, err := Read(filepath.Join(folder, "none"), 1); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("nothing there: %v", err)
	}
	if _, err := All(endless{}, 1000); err == nil {
		t.Error("an endless stream is read")
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }
