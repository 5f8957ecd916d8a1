package journal

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Reader looks back into a file of records, while it is being written or not.
// It changes nothing but to undo what a killed program left half done. Its methods may be called from several
// goroutines.
type Reader struct {
	path string
	db   *sql.DB
	keys map[string]bool // of the series that are in the file
}

// OpenReader opens a file of records that exists.
func OpenReader(path string) (*Reader, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	// Opening would tell less well what is missing.
	switch info, err := os.Stat(path); {
	case err != nil:
		return nil, fmt.Errorf("open the records: %w", err)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("open the records: %s is not a regular file", path)
	}
	db, err := sql.Open("sqlite", nameOf(path, "ro", "busy_timeout(2000)", "temp_store(MEMORY)"))
	if err != nil {
		return nil, fmt.Errorf("open the records %s: %w", path, err)
	}
	db.SetMaxOpenConns(2)
	r := &Reader{path: path, db: db, keys: map[string]bool{}}
	err = r.learn(context.Background())
	if e, is := errors.AsType[*sqlite.Error](err); is && e.Code() == sqlite3.SQLITE_READONLY_ROLLBACK {
		if err = rollBack(path); err == nil {
			err = r.learn(context.Background())
		}
	}
	if err != nil {
		db.Close()
		return nil, fmt.Errorf("open the records %s: %w", path, err)
	}
	return r, nil
}

// rollBack ends what a program that was killed left half done: while a file is made or its form is changed, what was
// there is kept in a second file, which only a program that may write can bring back.
func rollBack(path string) error {
	db, err := sql.Open("sqlite", nameOf(path, "rw", "busy_timeout(2000)"))
	if err != nil {
		return err
	}
	defer db.Close()
	var tables int
	return db.QueryRow("SELECT count(*) FROM sqlite_master").Scan(&tables)
}

// errEmpty tells of a file whose making was cut short, before anything was written.
var errEmpty = errors.New("nothing is recorded in it yet")

func (r *Reader) learn(ctx context.Context) error {
	var id, version, tables int
	err := r.db.QueryRowContext(ctx, "SELECT (SELECT application_id FROM pragma_application_id), "+
		"(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_master)").
		Scan(&id, &version, &tables)
	switch {
	case err != nil:
		return err
	case id == 0 && tables == 0:
		return errEmpty
	case id != applicationID:
		return errors.New("this is no file of records")
	case version > len(versions()):
		return newerError{version, len(versions())}
	case version < len(versions()):
		return olderError{version, len(versions())}
	}
	names, err := columnsOf(ctx, r.db, "reading_second")
	for _, name := range names {
		r.keys[name] = true
	}
	return err
}

// Close closes the file.
func (r *Reader) Close() error { return r.db.Close() }

// Series are the series that the file has and this program knows.
func (r *Reader) Series() []Series {
	var present []Series
	for _, s := range AllSeries() {
		if r.keys[s.Key] {
			present = append(present, s)
		}
	}
	return present
}

// Span is the time of the oldest and the newest reading; both zero when there are none.
func (r *Reader) Span(ctx context.Context) (from, to time.Time, err error) {
	var low, high sql.NullInt64
	err = r.db.QueryRowContext(ctx, `SELECT min(low), max(high) FROM (
		SELECT (SELECT min(at_s) FROM reading_hour) low, (SELECT max(at_s) FROM reading_hour) high
		UNION ALL SELECT (SELECT min(at_s) FROM reading_minute), (SELECT max(at_s) FROM reading_minute)
		UNION ALL SELECT (SELECT min(at_s) FROM reading_second), (SELECT max(at_s) FROM reading_second))`).Scan(&low, &high)
	if err != nil || !low.Valid {
		return from, to, told("find the span of the records", err)
	}
	return time.Unix(low.Int64, 0).UTC(), time.Unix(high.Int64, 0).UTC(), nil
}

// Settings are the text of the settings that were last in force, and since when.
func (r *Reader) Settings(ctx context.Context) (at time.Time, text string, err error) {
	var ms int64
	err = r.db.QueryRowContext(ctx, `SELECT at_ms, text FROM setting ORDER BY id DESC LIMIT 1`).Scan(&ms, &text)
	if errors.Is(err, sql.ErrNoRows) {
		err = errors.New("there are no settings in the records")
	}
	return time.UnixMilli(ms).UTC(), text, told("read the settings", err)
}

// told adds what was tried to an error.
func told(tried string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", tried, err)
}

// TripRecord is what replays a trip: see drive.ReadRecord.
func (r *Reader) TripRecord(ctx context.Context, id int64) ([]byte, error) {
	var record []byte
	err := r.db.QueryRowContext(ctx, `SELECT record FROM trip WHERE id = ?`, id).Scan(&record)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, fmt.Errorf("there is no trip %d in the records", id)
	case err != nil:
		return nil, fmt.Errorf("read trip %d: %w", id, err)
	case record == nil:
		return nil, fmt.Errorf("trip %d was recorded without its last minute", id)
	}
	z, err := gzip.NewReader(bytes.NewReader(record))
	if err != nil {
		return nil, fmt.Errorf("read trip %d: %w", id, err)
	}
	plain, err := io.ReadAll(z)
	return plain, told(fmt.Sprintf("read trip %d", id), err)
}

// Notes are the notes of a time, oldest first.
func (r *Reader) Notes(ctx context.Context, from, to time.Time) (notes []Note, err error) {
	rows, err := r.db.QueryContext(ctx, `SELECT at_ms, azimuth_deg, elevation_deg, target, doppler_hz, noise_db, band, partner, operator, words
		FROM note WHERE at_ms BETWEEN ? AND ? ORDER BY at_ms, id`, from.UnixMilli(), to.UnixMilli())
	if err != nil {
		return nil, told("read the notes", err)
	}
	defer rows.Close()
	for rows.Next() {
		var n Note
		var at int64
		if err := rows.Scan(&at, figure{&n.AzDeg}, figure{&n.ElDeg}, &n.Target, figure{&n.DopplerHz},
			figure{&n.NoiseDB},
			&n.Band, &n.Partner, &n.Operator, &n.Words); err != nil {
			return nil, told("read the notes", err)
		}
		n.At = time.UnixMilli(at).UTC()
		notes = append(notes, n)
	}
	return notes, told("read the notes", rows.Err())
}

// Check reads the whole file and says what is damaged, a line each; nothing
// when all is well. It takes some seconds for a year.
func (r *Reader) Check(ctx context.Context) (faults []string, err error) {
	rows, err := r.db.QueryContext(ctx, "PRAGMA integrity_check")
	if err != nil {
		return nil, told("check the records", err)
	}
	defer rows.Close()
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, told("check the records", err)
		}
		if line != "ok" {
			faults = append(faults, line)
		}
	}
	return faults, told("check the records", rows.Err())
}

// Copy writes a copy of the file that is whole and of one moment, while the
// file is being written. It is complete when it appears under its name; a file
// that exists is not replaced.
func (r *Reader) Copy(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("copy the records: %s exists already", path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("copy the records: %w", err)
	}
	folder, err := os.MkdirTemp(filepath.Dir(path), ".copy-*")
	if err != nil {
		return fmt.Errorf("copy the records: %w", err)
	}
	defer os.RemoveAll(folder)
	beside := filepath.Join(folder, FileName)
	if _, err := r.db.ExecContext(ctx, "VACUUM INTO ?", beside); err != nil {
		return fmt.Errorf("copy the records: %w", err)
	}
	return told("copy the records", finish(beside, path))
}

// finish brings a file to the disk and gives it its name.
func finish(beside, path string) error {
	f, err := os.OpenFile(beside, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Link(beside, path); err == nil {
		return nil
	} else if errors.Is(err, fs.ErrExist) {
		return err
	}
	return os.Rename(beside, path) // a file system without links
}
