//go:build unix

package kept

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// One panel for each dish: neither the same store nor the same port, by
// whatever name, is used by a second one until the first has ended.
func TestOnePanelForEachDish(t *testing.T) {
	folder := t.TempDir()
	port, link := filepath.Join(folder, "ttyA"), filepath.Join(folder, "by-id")
	for _, err := range []error{os.WriteFile(port, nil, 0o600), os.Symlink("ttyA", link)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	a, b := Store{filepath.Join(folder, "a")}, Store{filepath.Join(folder, "b")}
	first, err := LockDish(a, port)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := LockDish(a, filepath.Join(folder, "ttyB")); !errors.Is(err, ErrLocked) ||
		!strings.Contains(err.Error(), fmt.Sprintf("process %d", os.Getpid())) {
		t.Errorf("the same store: %v", err)
	}
	for _, name := range []string{port, link} {
		if _, err := LockDish(b, name); !errors.Is(err, ErrLocked) {
			t.Errorf("the same port as %s: %v", name, err)
		}
	}
	other, err := LockDish(b, filepath.Join(folder, "ttyB"))
	if err != nil {
		t.Errorf("another dish: %v", err)
	}
	other.Close()
	first.Close()
	again, err := LockDish(b, link)
	if err != nil {
		t.Fatalf("after the first has ended: %v", err)
	}
	again.Close()
	if _, err := LockDish(Store{"/proc/self/none"}, ""); err == nil || errors.Is(err, ErrLocked) {
		t.Errorf("where nothing can be written: %v", err)
	}
}
