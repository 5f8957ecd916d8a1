//go:build linux

package replace

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"beamhelm/app/faultydisk"
)

// TestAfterAPowerCut: what was written or removed is so after a cut that takes
// everything that was not brought to the disk, folders made on the way included.
func TestAfterAPowerCut(t *testing.T) {
	disk := faultydisk.Mount(t)
	left := func(name string) string {
		into := t.TempDir()
		if err := disk.Surviving(into, rand.New(rand.NewPCG(1, 2)), 0); err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(filepath.Join(into, name))
		if os.IsNotExist(err) {
			return "nothing"
		}
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	const name = "state/panel/one"
	path := filepath.Join(disk.Folder, name)
	for _, text := range []string{"first", "second, and longer", ""} {
		if err := File(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got := left(name); got != text {
			t.Errorf("%q is left, want %q", got, text)
		}
	}
	if err := Remove(path); err != nil {
		t.Fatal(err)
	}
	if got := left(name); got != "nothing" {
		t.Errorf("%q is left of what was removed", got)
	}
}

// TestFolder: a folder that can't be made is an error, one that is there is none.
func TestFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "one", "two")
	for range 2 {
		if err := Folder(folder); err != nil {
			t.Error(err)
		}
	}
	file := filepath.Join(folder, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{file, filepath.Join(file, "below")} {
		if err := Folder(path); err == nil {
			t.Errorf("%s: made where there is a file", path)
		}
	}
}
