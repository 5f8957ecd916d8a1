package journal

import (
	"context"
	"database/sql"
	"fmt"
	"time"
)

// retryEvery is how often a file that can't be written is tried again.
const retryEvery = 2 * time.Second

// writer brings entries to the file. It belongs to one goroutine.
type writer struct {
	journal *Journal
	file    *file // nil while there is none open
	session int64
	retry   time.Time // when to try again after trouble
	// minute and hour are of the newest reading; due is what is to be condensed.
	minute, hour int64
	due          []span
	newest       int64
	cleanAt      time.Time
	// first is the first second that this writer wrote, at firstAt.
	first   int64
	firstAt time.Time
	// failing since, lost when it began
	failing  time.Time
	because  string
	lostThen uint64
}

func newWriter(j *Journal) *writer { return &writer{journal: j, minute: -1, hour: -1} }

// step writes what waits and does a small piece of the upkeep.
func (w *writer) step(now time.Time) {
	if now.Before(w.retry) {
		return
	}
	if err := w.work(now); err != nil {
		w.fail(now, err)
		return
	}
	w.recover(now)
}

func (w *writer) work(now time.Time) error {
	ctx := context.Background()
	if w.file == nil {
		if err := w.open(ctx, now); err != nil {
			return err
		}
	}
	j := w.journal
	j.mu.Lock()
	figures, words := j.figures.takeAll(), j.words.takeAll()
	j.mu.Unlock()
	if len(figures)+len(words) > 0 {
		if err := w.write(ctx, figures, words); err != nil {
			j.mu.Lock()
			j.figures.pushBack(figures)
			j.words.pushBack(words)
			j.mu.Unlock()
			return err
		}
		if w.first == 0 {
			w.first, w.firstAt = w.newest, now
		}
	}
	return w.upkeep(ctx, now)
}

// open opens the file and begins a session in it, or goes on with one begun there.
func (w *writer) open(ctx context.Context, now time.Time) error {
	c := w.journal.config
	f, aside, err := openFile(ctx, c.Path)
	if aside != "" {
		w.journal.trouble.damaged(fmt.Sprintf("the records were damaged and are set aside as %s; new ones are kept",
			aside))
		w.session = 0
	}
	if err != nil {
		return err
	}
	if w.session == 0 {
		began := c.Began.UnixMilli()
		result, err := f.conn.ExecContext(ctx, `INSERT INTO session (began_ms, last_ms, began_by_machine_ms, practice, station, version) VALUES (?, ?, ?, ?, ?, ?)`,
			began, began, now.UnixMilli(), c.Practice, c.Station, c.Version)
		if err == nil {
			w.session, err = result.LastInsertId()
		}
		if err != nil {
			f.close()
			return err
		}
	}
	if err := w.takeUp(ctx, f.conn); err != nil {
		f.close()
		return err
	}
	w.file = f
	return nil
}

// batch is what is written in one transaction.
type batch struct {
	ctx        context.Context
	file       *file
	session    int64
	putReading string
	seconds    []int64
}

// run makes a change, with a statement that is prepared once.
func (b *batch) run(query string, args ...any) error {
	statement, err := b.file.statement(b.ctx, query)
	if err != nil {
		return err
	}
	_, err = statement.ExecContext(b.ctx, args...)
	return err
}

func (w *writer) write(ctx context.Context, lists ...[]entry) error {
	b := batch{ctx: ctx, file: w.file, session: w.session, putReading: putReading()}
	err := whole(ctx, w.file.conn, func() error {
		for _, list := range lists {
			for _, e := range list {
				if err := e.put(&b); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, second := range b.seconds {
		w.passed(second)
	}
	return nil
}

// fail notes trouble and lets go of the file, unless it is only in use.
func (w *writer) fail(now time.Time, err error) {
	w.retry = now.Add(retryEvery)
	if w.file != nil && kindOf(err) != inUse {
		w.file.close()
		if kindOf(err) == damage {
			// The next opening finds the damage again, or sets the file aside for what was found now.
			if aside, moved := setAside(w.journal.config.Path); moved == nil {
				w.journal.trouble.damaged(fmt.Sprintf(
					"the records were damaged and are set aside as %s; new ones are kept", aside))
				w.session, w.retry = 0, time.Time{}
			}
		}
		w.file = nil
	}
	if w.failing.IsZero() {
		w.failing, w.lostThen = now, w.journal.Dropped()
	}
	w.because = kindOf(err).words(err)
	words := "nothing is recorded: " + w.because
	if lost := w.journal.Dropped() - w.lostThen; lost > 0 {
		words += fmt.Sprintf("; %d rows are lost", lost)
	}
	w.journal.trouble.now(words)
}

// recover tells that recording goes on, among the events as well.
func (w *writer) recover(now time.Time) {
	lost := w.journal.Dropped() - w.lostThen
	if w.failing.IsZero() && lost == 0 {
		return
	}
	words := fmt.Sprintf("records had a gap: %d rows were lost because the disk was too slow", lost)
	if !w.failing.IsZero() {
		words = fmt.Sprintf("no records were written for %s: %s; %d rows were lost",
			now.Sub(w.failing).Round(time.Second),
			w.because, lost)
	}
	at := w.journal.config.Began
	if w.newest > 0 {
		at = time.Unix(w.newest, 0)
	}
	w.journal.say(gapRow{at, words})
	w.failing, w.lostThen = time.Time{}, w.journal.Dropped()
	w.journal.trouble.now("")
}

// close writes what still waits and closes the session.
func (w *writer) close() {
	if err := w.work(time.Now()); err != nil {
		w.fail(time.Now(), err)
	}
	if w.file == nil {
		return
	}
	ctx := context.Background()
	// What fails here is found at the next opening: an open session, a minute to condense.
	_, _ = w.file.conn.ExecContext(ctx, `UPDATE session SET closed = 1, last_ms = max(last_ms, ?) WHERE id = ?`,
		1000*w.newest, w.session)
	w.file.close()
	w.file = nil
}

func (w *writer) sessionGoesOn(ctx context.Context) error {
	_, err := w.file.conn.ExecContext(ctx, `UPDATE session SET last_ms = max(last_ms, ?) WHERE id = ?`, 1000*w.newest,
		w.session)
	return err
}

// connect opens a database by its name with one connection.
func connect(ctx context.Context, name string) (*sql.DB, *sql.Conn, error) {
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return nil, nil, err
	}
	c, err := db.Conn(ctx)
	if err != nil {
		db.Close()
		return nil, nil, err
	}
	return db, c, nil
}
