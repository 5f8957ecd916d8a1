package journal

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"beamhelm/app/settings/replace"
)

// file is an open file of records, for writing.
type file struct {
	path     string
	db       *sql.DB
	conn     *sql.Conn
	prepared map[string]*sql.Stmt
	info     os.FileInfo // of the file when it was opened
}

// openFile opens or makes the file and brings it to the present form. One that
// is damaged is set aside first, and where it is now is told.
func openFile(ctx context.Context, path string) (f *file, aside string, err error) {
	if err := replace.Folder(filepath.Dir(path)); err != nil {
		return nil, "", err
	}
	// SQLite would wait for the other end of a pipe.
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, "", fmt.Errorf("%s is not a regular file", path)
	}
	f, err = tryOpen(ctx, path)
	if kindOf(err) != damage {
		return f, "", err
	}
	if aside, err = setAside(path); err != nil {
		return nil, "", fmt.Errorf("the records are damaged and can't be set aside: %w", err)
	}
	f, err = tryOpen(ctx, path)
	return f, aside, err
}

// tryOpen opens the file. FULL brings each commit to the disk: with NORMAL a
// power cut would take all since the last checkpoint, which may be minutes.
func tryOpen(ctx context.Context, path string) (*file, error) {
	db, c, err := connect(ctx, nameOf(path, "rwc",
		"busy_timeout(1000)", "journal_mode(WAL)", "synchronous(FULL)", "journal_size_limit(67108864)",
		"temp_store(MEMORY)"))
	if err != nil {
		return nil, err
	}
	f := &file{path: path, db: db, conn: c, prepared: map[string]*sql.Stmt{}}
	err = migrate(ctx, c, versions())
	if err == nil {
		f.info, err = os.Stat(path)
	}
	if err != nil {
		f.close()
		return nil, err
	}
	return f, nil
}

// nameOf is the name by which the driver opens a file.
func nameOf(path, mode string, pragmas ...string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	q := url.Values{"mode": {mode}, "_pragma": pragmas}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String()
}

// statement is a prepared one, made at its first use.
func (f *file) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	if s := f.prepared[query]; s != nil {
		return s, nil
	}
	s, err := f.conn.PrepareContext(ctx, query)
	if err == nil {
		f.prepared[query] = s
	}
	return s, err
}

func (f *file) close() {
	for _, s := range f.prepared {
		s.Close()
	}
	f.conn.Close()
	f.db.Close()
}

// errGone tells that the file was removed or replaced while it was open.
var errGone = errors.New("the file of the records was taken away; a new one is begun")

// stillThere is an error when the path doesn't lead to the open file any more:
// what is written would be in no folder.
func (f *file) stillThere() error {
	info, err := os.Stat(f.path)
	if errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(info, f.info) {
		return errGone
	}
	return err
}

// maxAside is how many damaged files are left lying about; the last is replaced.
const maxAside = 9

// setAside renames a damaged file together with what SQLite keeps beside it.
func setAside(path string) (aside string, err error) {
	for i := 1; i <= maxAside; i++ {
		aside = fmt.Sprintf("%s.damaged-%d", path, i)
		if _, err := os.Lstat(aside); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	if err := os.Rename(path, aside); err != nil {
		return "", err
	}
	for _, beside := range []string{"-wal", "-shm"} {
		if err := os.Rename(path+beside, aside+beside); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	return aside, nil
}

// kind of trouble with the file.
type kind uint8

const (
	none kind = iota
	inUse
	full
	readOnly
	damage
	newer
	gone
	other
)

func kindOf(err error) kind {
	if err == nil {
		return none
	}
	if _, is := errors.AsType[newerError](err); is {
		return newer
	}
	if errors.Is(err, errGone) {
		return gone
	}
	e, is := errors.AsType[*sqlite.Error](err)
	if !is {
		return other
	}
	switch e.Code() & 0xFF {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return inUse
	case sqlite3.SQLITE_FULL:
		return full
	case sqlite3.SQLITE_READONLY:
		return readOnly
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return damage
	}
	return other
}

func (k kind) words(err error) string {
	switch k {
	case inUse:
		return "the file of the records is locked by another program"
	case full:
		return "the disk is full"
	case readOnly:
		return "the file of the records can't be written, only read"
	}
	return err.Error()
}

// trouble is what Trouble says.
type trouble struct {
	mu            sync.Mutex
	present, past string
}

// now tells of trouble that lasts; empty when it is over.
func (t *trouble) now(words string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.present = words
}

// damaged tells of a file set aside, which is worth knowing until the end.
func (t *trouble) damaged(words string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.past = words
}

func (t *trouble) words() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.present != "" {
		return t.present
	}
	return t.past
}
