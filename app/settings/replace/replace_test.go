package replace

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func content(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func entries(t *testing.T, folder string) []string {
	t.Helper()
	all, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, entry := range all {
		names = append(names, entry.Name())
	}
	return names
}

func TestFile(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "folder")
	path := filepath.Join(folder, "file")
	for _, text := range []string{"first", "second, longer", ""} {
		if err := File(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got := content(t, path); got != text {
			t.Errorf("got %q, want %q", got, text)
		}
	}
	if names := entries(t, folder); len(names) != 1 {
		t.Errorf("left over: %q", names)
	}
}

func TestPermissionsStay(t *testing.T) {
	folder := t.TempDir()
	for name, mode := range map[string]os.FileMode{"open": 0o644, "private": 0o600, "group": 0o660} {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, nil, mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		if err := File(path, []byte("text")); err != nil {
			t.Fatal(err)
		}
		if info, _ := os.Stat(path); info.Mode() != mode {
			t.Errorf("%s: mode %v became %v", name, mode, info.Mode())
		}
	}
	fresh := filepath.Join(folder, "fresh")
	if err := File(fresh, nil); err != nil {
		t.Fatal(err)
	}
	if info, _ := os.Stat(fresh); info.Mode() != 0o600 {
		t.Errorf("a new file has mode %v", info.Mode())
	}
}

func TestLinkStays(t *testing.T) {
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "real"), 0o700); err != nil {
		t.Fatal(err)
	}
	file, link, twice := filepath.Join(folder, "real", "file"), filepath.Join(folder, "link"),
		filepath.Join(folder, "twice")
	for name, target := range map[string]string{link: filepath.Join("real", "file"), twice: link} {
		if err := os.Symlink(target, name); err != nil {
			t.Fatal(err)
		}
	}
	// The file doesn't exist at first.
	for _, row := range []struct{ path, text string }{{twice, "one"}, {link, "two"}, {file, "three"}} {
		if err := File(row.path, []byte(row.text)); err != nil {
			t.Fatal(err)
		}
		if got := content(t, file); got != row.text {
			t.Errorf("by %s: got %q", row.path, got)
		}
	}
	for _, name := range []string{link, twice} {
		if info, err := os.Lstat(name); err != nil || info.Mode()&os.ModeSymlink == 0 {
			t.Errorf("%s is no link any more", name)
		}
	}
}

// TestOldFileSurvives: whatever fails, the old file is whole and nothing is left over.
func TestOldFileSurvives(t *testing.T) {
	full := func(f *os.File, text []byte) error {
		if _, err := f.Write(text[:len(text)/2]); err != nil {
			return err
		}
		return &os.PathError{Op: "write", Path: f.Name(), Err: syscall.ENOSPC}
	}
	gone := func(f *os.File, _ []byte) error { return os.Remove(f.Name()) }
	for name, row := range map[string]struct {
		save func(*os.File, []byte) error
		want error
	}{"disk full": {full, syscall.ENOSPC}, "temporary file taken away": {gone, os.ErrNotExist}} {
		folder := t.TempDir()
		path := filepath.Join(folder, "file")
		if err := os.WriteFile(path, []byte("old"), 0o640); err != nil {
			t.Fatal(err)
		}
		if err := file(path, []byte("new text"), row.save); !errors.Is(err, row.want) {
			t.Errorf("%s: got %v", name, err)
		}
		if got := content(t, path); got != "old" {
			t.Errorf("%s: the file holds %q", name, got)
		}
		if names := entries(t, folder); len(names) != 1 {
			t.Errorf("%s: left over: %q", name, names)
		}
	}
}

func TestPlacesThatCannotBeWritten(t *testing.T) {
	folder := t.TempDir()
	plain, loop := filepath.Join(folder, "plain"), filepath.Join(folder, "loop")
	if err := os.WriteFile(plain, []byte("plain"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(loop, loop); err != nil {
		t.Fatal(err)
	}
	for name, path := range map[string]string{
		"under a file":               filepath.Join(plain, "file"),
		"a folder":                   folder,
		"a link to itself":           loop,
		"a device":                   os.DevNull,
		"a folder that is read-only": readOnlyFolder(t) + "/file",
	} {
		err := File(path, []byte("text"))
		if err == nil {
			t.Errorf("%s: written", name)
		} else if !strings.HasPrefix(err.Error(), "write "+path+": ") {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if got := content(t, plain); got != "plain" {
		t.Errorf("the file in the way holds %q", got)
	}
}

// readOnlyFolder is one that even the superuser can't make files in.
func readOnlyFolder(t *testing.T) string {
	if os.Getuid() == 0 {
		return "/proc/self"
	}
	folder := t.TempDir()
	if err := os.Chmod(folder, 0o500); err != nil {
		t.Fatal(err)
	}
	return folder
}
