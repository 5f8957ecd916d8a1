package journal

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Each session of practice has its own file; the newest ten are kept, and other files are left alone.
func TestPracticeFiles(t *testing.T) {
	folder := t.TempDir()
	if _, err := NewestPractice(folder); err == nil {
		t.Error("a session is found where there is none")
	}
	others := []string{FileName, "practice-yesterday.db", "practice-20270414-160000.db-wal.txt"}
	for _, name := range others {
		if err := os.WriteFile(filepath.Join(folder, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	began := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	path := ""
	for i := range 14 {
		path = PracticePath(folder, began.Add(time.Duration(i)*time.Hour))
		for _, part := range []string{"", "-wal"} {
			if err := os.WriteFile(path+part, nil, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if newest, err := NewestPractice(folder); err != nil || newest != path {
		t.Errorf("newest %s, %v; want %s", newest, err, path)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	if want := 2*keptPractice + len(others); len(entries) != want {
		t.Errorf("%d files are left, want %d", len(entries), want)
	}
	for _, name := range others {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
			t.Error(err)
		}
	}
}
