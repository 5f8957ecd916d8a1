package journal

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A program that is killed while the form of a file changes leaves a second file beside it: who only reads brings back
// what was there before.
func TestWhatWasLeftHalfDoneIsRolledBack(t *testing.T) {
	r := newRig(t)
	r.take(newDish(), 20)
	r.turn()
	r.w.file.close()
	r.w.file = nil
	killed := copiedHalfDone(t, r.path, "CREATE TABLE half (a TEXT)",
		"INSERT INTO half SELECT hex(randomblob(20000)) FROM reading_second")
	reader, err := OpenReader(killed)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	var seconds, halves int
	if err := reader.db.QueryRow("SELECT (SELECT count(*) FROM reading_second), (SELECT count(*) FROM sqlite_master "+
		"WHERE name = 'half')").Scan(&seconds, &halves); err != nil || seconds < 19 || halves != 0 {
		t.Errorf("%d readings, %d tables half done: %v", seconds, halves, err)
	}
}

// A file whose making was cut short is empty, and said to be.
func TestAFileThatWasBeingMadeIsEmpty(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenReader(path); !errors.Is(err, errEmpty) {
		t.Errorf("%v, want %v", err, errEmpty)
	}
}

// copiedHalfDone is a file as it is in the middle of a change, and what stands beside it.
func copiedHalfDone(t *testing.T, path string, statements ...string) string {
	t.Helper()
	ctx := context.Background()
	db, err := sql.Open("sqlite", nameOf(path, "rwc", "journal_mode(DELETE)", "cache_size(2)"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	for _, statement := range append([]string{"BEGIN IMMEDIATE"}, statements...) {
		if _, err := conn.ExecContext(ctx, statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	defer conn.ExecContext(ctx, "ROLLBACK")
	to := filepath.Join(t.TempDir(), FileName)
	for _, end := range []string{"", "-journal"} {
		text, err := os.ReadFile(path + end)
		if err == nil {
			err = os.WriteFile(to+end, text, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return to
}
