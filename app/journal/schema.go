package journal

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
)

// What is in the file. Times are UTC: at_s in whole seconds, at_ms in
// milliseconds since 1970-01-01. Where there is no figure there is NULL.
//
//	reading_second  a row a second, a column per series, kept for a week
//	reading_minute  a row a minute: KEY_mean, KEY_min, KEY_max of each series, and how many seconds they are of
//	reading_hour    the same of an hour
//	motion          where a moving dish was, five times a second, kept for a week
//	event           what happened, under its number in the session
//	alarm           when an alarm began, was acknowledged, and cleared
//	trip            lock-outs, trips and others, with the compressed record that replays them
//	result          of peaks, surveys, receiver checks, nights
//	note            the operator's
//	contact         with other stations: the log
//	setting         the text of the settings whenever it had changed
//	session         from the start of the program to its end

// applicationID marks the file as ours for programs that tell files apart: "BHrc".
const applicationID = 0x42487263

// versions are the steps from nothing to the present form: a file of form n
// needs those from n on. A step is never changed once it has been released;
// the tables of readings and the columns of new series come by themselves (see addReadings).
func versions() []string { return []string{firstVersion, contactTable, plainNames, tripped} }

const firstVersion = `
CREATE TABLE session (
	id INTEGER PRIMARY KEY, began_ms INTEGER NOT NULL, last_ms INTEGER NOT NULL,
	began_by_machine_ms INTEGER NOT NULL, closed INTEGER NOT NULL DEFAULT 0,
	practice INTEGER NOT NULL, station TEXT NOT NULL, version TEXT NOT NULL);
CREATE TABLE motion (
	at_ms INTEGER PRIMARY KEY, activity TEXT NOT NULL,
	azimuth_is_deg REAL, azimuth_want_deg REAL, azimuth_drive_percent REAL,
	elevation_is_deg REAL, elevation_want_deg REAL, elevation_drive_percent REAL,
	off_deg REAL, keyed INTEGER NOT NULL);
CREATE TABLE event (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, number INTEGER,
	at_ms INTEGER NOT NULL, grade INTEGER NOT NULL, words TEXT NOT NULL, UNIQUE (session, number));
CREATE INDEX event_at ON event (at_ms);
CREATE TABLE alarm (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, number INTEGER NOT NULL,
	at_ms INTEGER NOT NULL, seen_ms INTEGER, over_ms INTEGER,
	grade INTEGER NOT NULL, words TEXT NOT NULL, next TEXT NOT NULL, UNIQUE (session, number));
CREATE INDEX alarm_at ON alarm (at_ms);
CREATE TABLE trip (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ms INTEGER NOT NULL,
	cause TEXT NOT NULL, next TEXT NOT NULL, record BLOB);
CREATE INDEX trip_at ON trip (at_ms);
CREATE TABLE result (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ms INTEGER NOT NULL,
	kind TEXT NOT NULL, words TEXT NOT NULL, detail TEXT);
CREATE INDEX result_at ON result (at_ms);
CREATE TABLE note (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ms INTEGER NOT NULL,
	azimuth_deg REAL, elevation_deg REAL, target TEXT NOT NULL, doppler_hz REAL, noise_db REAL,
	band TEXT NOT NULL, partner TEXT NOT NULL, operator TEXT NOT NULL, words TEXT NOT NULL);
CREATE INDEX note_at ON note (at_ms);
CREATE TABLE setting (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ms INTEGER NOT NULL,
	words TEXT NOT NULL, text TEXT NOT NULL);
CREATE INDEX setting_at ON setting (at_ms);
`

const contactTable = `
CREATE TABLE contact (
	id INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ms INTEGER NOT NULL,
	call TEXT NOT NULL, locator TEXT NOT NULL, own_call TEXT NOT NULL, own_locator TEXT NOT NULL, operator TEXT NOT NULL,
	mhz REAL, band TEXT NOT NULL, mode TEXT NOT NULL, sent TEXT NOT NULL, received TEXT NOT NULL,
	azimuth_deg REAL, elevation_deg REAL, doppler_hz REAL, degradation_db REAL, system_k REAL, noise_db REAL, power_w REAL,
	comment TEXT NOT NULL);
CREATE INDEX contact_at ON contact (at_ms);
`

// plainNames gives columns the names by which axes and alarms are spoken of; those of readings follow in readingColumn.
const plainNames = `
ALTER TABLE motion RENAME COLUMN azimuth_is_deg TO azimuth_position_deg;
ALTER TABLE motion RENAME COLUMN azimuth_want_deg TO azimuth_commanded_deg;
ALTER TABLE motion RENAME COLUMN elevation_is_deg TO elevation_position_deg;
ALTER TABLE motion RENAME COLUMN elevation_want_deg TO elevation_commanded_deg;
ALTER TABLE motion RENAME COLUMN off_deg TO pointing_error_deg;
ALTER TABLE alarm RENAME COLUMN seen_ms TO acknowledged_ms;
ALTER TABLE alarm RENAME COLUMN over_ms TO cleared_ms;
`

// tripped tells trips from the other lock-outs, of which older files have only the words.
const tripped = `
ALTER TABLE trip ADD COLUMN tripped INTEGER NOT NULL DEFAULT 1;
UPDATE trip SET tripped = 0 WHERE cause IN ('stopped by the operator', 'since the last session');
`

// readingColumn is the present name of a column of readings, which was another in a file of form 1 or 2.
func readingColumn(name string) string {
	return strings.NewReplacer(
		"azimuth_is_deg", "azimuth_position_deg", "azimuth_want_deg", "azimuth_commanded_deg",
		"elevation_is_deg", "elevation_position_deg", "elevation_want_deg", "elevation_commanded_deg",
		"off_deg", "pointing_error_deg", "echo_loss_db", "two_way_pointing_loss_db",
		"_least", "_min", "_most", "_max",
	).Replace(name)
}

// newerError tells that a file is of a later form than this program knows.
type newerError struct{ version, known int }

func (e newerError) Error() string {
	return fmt.Sprintf(
		"the records are of form %d, made by a newer Beamhelm; this one knows form %d and leaves them as they are",
		e.version, e.known)
}

// olderError tells that a file is of an earlier form than what is only read is read in.
type olderError struct{ version, known int }

func (e olderError) Error() string {
	return fmt.Sprintf("the records are of form %d, made by an older Beamhelm: start the panel with them once, "+
		"which brings them to form %d", e.version, e.known)
}

// migrate brings a file to the present form, a step at a time, each whole or
// not at all.
func migrate(ctx context.Context, c *sql.Conn, steps []string) error {
	var version int
	if err := c.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version > len(steps) {
		return newerError{version, len(steps)}
	}
	for n := version; n < len(steps); n++ {
		mark := fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", n+1, applicationID)
		if err := whole(ctx, c, func() error {
			_, err := c.ExecContext(ctx, steps[n]+mark)
			return err
		}); err != nil {
			return fmt.Errorf("bring the records from form %d to %d: %w", n, n+1, err)
		}
	}
	return addReadings(ctx, c)
}

// whole does something in one transaction.
func whole(ctx context.Context, c *sql.Conn, do func() error) error {
	if _, err := c.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	err := do()
	if err == nil {
		_, err = c.ExecContext(ctx, "COMMIT")
	}
	if err != nil {
		// The cause is what matters; a transaction that SQLite ended itself can't be rolled back.
		_, _ = c.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	}
	return err
}

// addReadings makes the tables of readings, or gives them the columns of series that they don't have yet: those of
// another name take the present one. Columns of series that this program no longer knows stay.
func addReadings(ctx context.Context, c *sql.Conn) error {
	var seconds, others []string
	for _, s := range AllSeries() {
		seconds = append(seconds, s.Key)
		others = append(others, s.Key+"_mean", s.Key+"_min", s.Key+"_max")
	}
	var changes []string
	for _, t := range []struct {
		table, first string
		columns      []string
	}{
		{"reading_second", "at_s INTEGER PRIMARY KEY", seconds},
		{"reading_minute", "at_s INTEGER PRIMARY KEY, seconds INTEGER NOT NULL", others},
		{"reading_hour", "at_s INTEGER PRIMARY KEY, seconds INTEGER NOT NULL", others},
	} {
		present, err := columnsOf(ctx, c, t.table)
		if err != nil {
			return err
		}
		if len(present) == 0 {
			changes = append(changes, fmt.Sprintf("CREATE TABLE %s (%s, %s REAL)", t.table, t.first,
				strings.Join(t.columns, " REAL, ")))
			continue
		}
		for i, column := range present {
			if name := readingColumn(column); name != column {
				changes = append(changes, fmt.Sprintf("ALTER TABLE %s RENAME COLUMN %s TO %s", t.table, column, name))
				present[i] = name
			}
		}
		for _, column := range t.columns {
			if !slices.Contains(present, column) {
				changes = append(changes, fmt.Sprintf("ALTER TABLE %s ADD COLUMN %s REAL", t.table, column))
			}
		}
	}
	if len(changes) == 0 {
		return nil
	}
	return whole(ctx, c, func() error {
		_, err := c.ExecContext(ctx, strings.Join(changes, ";"))
		return err
	})
}

// querier is a connection or a pool.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func columnsOf(ctx context.Context, c querier, table string) (names []string, err error) {
	rows, err := c.QueryContext(ctx, "SELECT name FROM pragma_table_info(?)", table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, rows.Err()
}
