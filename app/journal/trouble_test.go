package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// take records some seconds of steady readings, without writing them.
func (r *rig) take(d *dish, seconds int) {
	for range seconds {
		d.at = d.at.Add(time.Second)
		r.j.Take(d.status())
	}
}

// troubled wants trouble with these words.
func (r *rig) troubled(words string) {
	r.Helper()
	if got := r.j.Trouble(); !strings.Contains(got, words) {
		r.Fatalf("trouble %q, want %q in it", got, words)
	}
}

// recovered wants all seconds so far in the file, and a word about the gap among the events.
func (r *rig) recovered(seconds int, gap string) {
	r.Helper()
	r.turn()
	r.turn()
	r.quiet()
	if n := r.one("SELECT count(*) FROM reading_second"); n != float64(seconds) {
		r.Errorf("%v seconds were recorded, want %d", n, seconds)
	}
	if n := r.one("SELECT count(*) FROM event WHERE number IS NULL AND words LIKE ?", "%"+gap+"%"); n != 1 {
		r.Errorf("%v events tell of %q, want 1", n, gap)
	}
}

func TestDiskFull(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, 5)
	r.turn()
	pragma := func(words string) {
		if _, err := r.w.file.conn.ExecContext(context.Background(), words); err != nil {
			t.Fatal(err)
		}
	}
	// SQLite refuses to grow the file as if the disk were full.
	pragma(fmt.Sprintf("PRAGMA max_page_count = %v", r.one("SELECT page_count FROM pragma_page_count")))
	r.take(d, 500)
	r.turn()
	r.troubled("the disk is full")
	r.take(d, 20)
	r.recovered(525, "the disk is full")
}

func TestReadOnly(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, 5)
	r.turn()
	if _, err := r.w.file.conn.ExecContext(context.Background(), "PRAGMA query_only = 1"); err != nil {
		t.Fatal(err)
	}
	r.take(d, 5)
	r.turn()
	r.troubled("can't be written")
	r.recovered(10, "can't be written")
}

func TestLockedByAnother(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, 5)
	r.turn()
	other, err := sql.Open("sqlite", nameOf(r.path, "rw"))
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	other.SetMaxOpenConns(1)
	if _, err := other.Exec("BEGIN EXCLUSIVE"); err != nil {
		t.Fatal(err)
	}
	r.take(d, 5)
	r.turn()
	r.troubled("locked by another program")
	if _, err := other.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	r.recovered(10, "locked by another program")
}

func TestNoFolder(t *testing.T) {
	r, d := newRig(t), newDish()
	folder := filepath.Dir(r.path)
	if err := os.WriteFile(folder, []byte("a file where the folder should be"), 0o600); err != nil {
		t.Fatal(err)
	}
	r.take(d, 5)
	r.turn()
	r.troubled("nothing is recorded")
	if err := os.Remove(folder); err != nil {
		t.Fatal(err)
	}
	r.recovered(5, "no records were written")
}

func TestFileTakenAway(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, 5)
	r.turn()
	if err := os.Remove(r.path); err != nil {
		t.Fatal(err)
	}
	for range 5 { // it is looked for every ten seconds
		r.turn()
	}
	r.take(d, 5)
	r.recovered(5, "taken away")
}

func TestDamagedFileIsSetAside(t *testing.T) {
	garbage := []byte(strings.Repeat("no database at all ", 1000))
	for _, row := range []struct {
		name   string
		damage func(r *rig, d *dish) error
	}{
		{"before it was opened", func(r *rig, _ *dish) error {
			if err := os.MkdirAll(filepath.Dir(r.path), 0o700); err != nil {
				return err
			}
			return os.WriteFile(r.path, garbage, 0o600)
		}},
		{"while it is open", func(r *rig, d *dish) error {
			r.take(d, 2000)
			r.turn()
			if _, err := r.w.file.conn.ExecContext(context.Background(),
				"PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
				return err
			}
			f, err := os.OpenFile(r.path, os.O_WRONLY, 0)
			if err != nil {
				return err
			}
			defer f.Close()
			if _, err = f.WriteAt([]byte(strings.Repeat("x", 1<<20)), 0); err != nil {
				return err
			}
			// SQLite sees it when it reads a page that it doesn't remember.
			_, err = r.w.file.conn.ExecContext(context.Background(), "PRAGMA shrink_memory")
			return err
		}},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, d := newRig(t), newDish()
			if err := row.damage(r, d); err != nil {
				t.Fatal(err)
			}
			r.j.Event(desk.Event{Number: 7, At: began, Words: message.Text("after the damage")})
			r.take(d, 10)
			for range 4 {
				r.turn()
			}
			aside := r.path + ".damaged-1"
			r.troubled(aside)
			if _, err := os.Stat(aside); err != nil {
				t.Error(err)
			}
			if n := r.one("SELECT count(*) FROM reading_second"); n != 10 {
				t.Errorf("%v seconds in the new file, want 10", n)
			}
			if n := r.one(
				"SELECT count(*) FROM event JOIN session ON event.session = session.id WHERE number = 7"); n != 1 {
				t.Errorf("%v events, want 1", n)
			}
		})
	}
}

func TestAFullQueueLosesTheNewAndCountsIt(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, maxFigures+100)
	for i := range maxWords + 10 {
		r.j.Event(desk.Event{Number: uint64(i + 1), At: began, Words: message.Text("x")})
	}
	if n := r.j.Dropped(); n != 110 {
		t.Fatalf("%d dropped, want 110", n)
	}
	r.turn()
	r.recovered(maxFigures, "110 rows were lost")
	if n := r.one("SELECT count(*) FROM event WHERE number IS NOT NULL"); n != maxWords {
		t.Errorf("%v events, want %d", n, maxWords)
	}
}

func TestAFileOfANewerProgramIsLeftAlone(t *testing.T) {
	r, d := newRig(t), newDish()
	r.take(d, 5)
	r.turn()
	if _, err := r.w.file.conn.ExecContext(context.Background(), "PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	r.w.file.close()
	again := openRig(t, r.path)
	again.take(newDish(), 5)
	again.turn()
	again.troubled("made by a newer Beamhelm")
	if _, err := OpenReader(r.path); err == nil || !strings.Contains(err.Error(), "form 99") {
		t.Errorf("reading it: %v", err)
	}
	if aside, _ := filepath.Glob(r.path + ".damaged*"); len(aside) != 0 {
		t.Errorf("it was set aside as %v", aside)
	}
	r.w.file = nil
}

func TestMigrationKeepsWhatIsThere(t *testing.T) {
	ctx := context.Background()
	db, c, err := connect(ctx, nameOf(filepath.Join(t.TempDir(), "x.db"), "rwc"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	defer c.Close()
	if err := migrate(ctx, c, versions()); err != nil {
		t.Fatal(err)
	}
	if _, err := c.ExecContext(ctx,
		"INSERT INTO event (session, number, at_ms, grade, words) VALUES (1, 1, 0, 0, 'old')"); err != nil {
		t.Fatal(err)
	}
	// A series that came with a later program has no column in an old file.
	if _, err := c.ExecContext(ctx, "ALTER TABLE reading_second DROP COLUMN battery_v"); err != nil {
		t.Fatal(err)
	}
	later := append(versions(), "ALTER TABLE event ADD COLUMN place TEXT NOT NULL DEFAULT 'here';",
		"CREATE TABLE half (x); CREATE TABLE half (x);")
	if err := migrate(ctx, c, later); err == nil {
		t.Fatal("a step that can't be made was made")
	}
	var version, halves, batteries int
	var words string
	read := func() error {
		return c.QueryRowContext(ctx, `SELECT (SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_master WHERE name = 'half'),
			(SELECT words || ' ' || place FROM event), (SELECT count(*) FROM pragma_table_info('reading_second') WHERE name = 'battery_v')`).Scan(&version, &halves, &words, &batteries)
	}
	if err := read(); err != nil || version != len(versions())+1 || halves != 0 || words != "old here" {
		t.Errorf("form %d, %d halves, %q, %v", version, halves, words, err)
	}
	if err := migrate(ctx, c, later[:len(versions())+1]); err != nil {
		t.Fatal(err)
	}
	if err := read(); err != nil || batteries != 1 {
		t.Errorf("%d columns of the series that came later, %v", batteries, err)
	}
}

func TestNothingIsOpenedByNew(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	if _, err := New(Config{Path: path, Began: began}); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Error("New made a file")
	}
	if _, err := New(Config{Path: "records.db", Began: began}); err == nil {
		t.Error("half a path was accepted")
	}
	if _, err := OpenReader(path); err == nil {
		t.Error("a file that isn't there was opened")
	}
}
