//go:build unix

package journal

import (
	"path/filepath"
	"syscall"
	"testing"
)

// What a terminal or a table would obey is not handed out: control characters
// and the marks of direction of Unicode (UAX #9).
func TestPlain(t *testing.T) {
	for in, want := range map[string]string{
		"Cold Harbour Field": "Cold Harbour Field", "a\x1b[2Jb": "a [2Jb", "a\u202eb\u2066c": "a b c",
		"line\r\nline": "line \nline", "Größe °": "Größe °",
	} {
		if got := cellWords("words", in, 1); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// A pipe in place of the records is refused at once, and each commit is brought
// to the disk (SQLite's PRAGMA synchronous: 2 is FULL).
func TestOpening(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "pipe.db")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := openFile(t.Context(), pipe); err == nil {
		t.Error("a pipe is taken for records")
	}
	f, _, err := openFile(t.Context(), filepath.Join(folder, FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer f.db.Close()
	var synchronous int
	if err := f.conn.QueryRowContext(t.Context(), "PRAGMA synchronous").Scan(&synchronous); err != nil ||
		synchronous != 2 {
		t.Errorf("synchronous %d, %v, want 2", synchronous, err)
	}
	f.conn.Close()
}
