package main

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"beamhelm/app/journal"
)

// year makes records as they are at the end of a year: every series fitted and
// never still, which is the most that a dish can give.
type year struct {
	path string
	end  time.Time
	days int
}

const (
	eventsPerDay = 500
	// movingHours a day, for the week of which places are kept.
	movingHours = 10
	weekSeconds = 7 * 24 * 3600
	tripsPerDay = 1
	tripBytes   = 100_000 // compressed
	notesPerDay = 20
)

func (y year) stated() string {
	return fmt.Sprintf(
		"invented records of %d days: %d series, each a random walk: every second of the last week, minutes and "+
			"hours of it all; "+
			"%d events, %d trip of %d kB and %d notes a day; moving %d hours of each day of the last week",
		y.days, len(journal.AllSeries()), eventsPerDay, tripsPerDay, tripBytes/1000, notesPerDay, movingHours)
}

func (y year) make(ctx context.Context) error {
	if err := y.begin(ctx); err != nil {
		return err
	}
	db, err := open(y.path)
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, "PRAGMA synchronous = OFF"); err != nil {
		return err
	}
	for _, step := range []func(context.Context, *sql.Tx) error{y.seconds, y.minutes, y.hours, y.motion, y.words} {
		tx, err := db.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		if err := step(ctx, tx); err != nil {
			tx.Rollback()
			return err
		}
		if err := tx.Commit(); err != nil {
			return err
		}
	}
	_, err = db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return err
}

// begin lets the journal itself make the file.
func (y year) begin(ctx context.Context) error {
	j, err := journal.New(journal.Config{Path: y.path, Station: "Cold Harbour Field", Began: y.end})
	if err != nil {
		return err
	}
	ended, end := context.WithCancel(ctx)
	end()
	if j.Run(ended); j.Trouble() != "" {
		return fmt.Errorf("begin the records: %s", j.Trouble())
	}
	return nil
}

// walk is the random walk of each series.
type walk []float64

func newWalk() walk {
	w := make(walk, len(journal.AllSeries()))
	for i := range w {
		w[i] = 10 + rand.Float64()*20
	}
	return w
}

func (w walk) step() {
	for i := range w {
		w[i] += rand.NormFloat64() * 0.01
	}
}

func insert(ctx context.Context, tx *sql.Tx, table string, columns int) (*sql.Stmt, error) {
	return tx.PrepareContext(ctx, fmt.Sprintf("INSERT INTO %s VALUES (?%s)", table, strings.Repeat(", ?", columns-1)))
}

func (y year) seconds(ctx context.Context, tx *sql.Tx) error {
	w := newWalk()
	put, err := insert(ctx, tx, "reading_second", 1+len(w))
	if err != nil {
		return err
	}
	args := make([]any, 1+len(w))
	for at := y.end.Unix() - int64(min(weekSeconds, 86400*y.days)); at < y.end.Unix(); at++ {
		w.step()
		args[0] = at
		for i, v := range w {
			args[1+i] = v
		}
		if _, err := put.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	return nil
}

func (y year) minutes(ctx context.Context, tx *sql.Tx) error {
	w := newWalk()
	put, err := insert(ctx, tx, "reading_minute", 2+3*len(w))
	if err != nil {
		return err
	}
	args := make([]any, 2+3*len(w))
	for at := y.end.Unix() - int64(86400*y.days); at < y.end.Unix(); at += 60 {
		w.step()
		args[0], args[1] = at, 60
		for i, v := range w {
			spread := math.Abs(rand.NormFloat64())
			args[2+3*i], args[3+3*i], args[4+3*i] = v, v-spread, v+spread
		}
		if _, err := put.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	return nil
}

func (y year) hours(ctx context.Context, tx *sql.Tx) error {
	columns := []string{"at_s / 3600 * 3600", "sum(seconds)"}
	for _, s := range journal.AllSeries() {
		columns = append(columns, "avg("+s.Key+"_mean)", "min("+s.Key+"_min)", "max("+s.Key+"_max)")
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO reading_hour SELECT "+strings.Join(columns,
		", ")+" FROM reading_minute GROUP BY at_s / 3600")
	return err
}

func (y year) motion(ctx context.Context, tx *sql.Tx) error {
	put, err := insert(ctx, tx, "motion", 10)
	if err != nil {
		return err
	}
	for day := range min(7, y.days) {
		begin := y.end.Add(-time.Duration(day+1) * 24 * time.Hour).UnixMilli()
		for i := range int64(movingHours * 3600 * 5) {
			az, el := 100+float64(i)*1e-3/3, 40+10*math.Sin(float64(i)*1e-5)
			if _, err := put.ExecContext(ctx, begin+200*i, "tracking", az, az+0.01*rand.Float64(), 12.5, el,
				el+0.01*rand.Float64(), 3.25, 0.01*rand.Float64(), 0); err != nil {
				return err
			}
		}
	}
	return nil
}

func (y year) words(ctx context.Context, tx *sql.Tx) error {
	number, record := 0, make([]byte, tripBytes)
	for day := range y.days {
		begin := y.end.Add(-time.Duration(y.days-day) * 24 * time.Hour).UnixMilli()
		for i := range eventsPerDay {
			number++
			words := fmt.Sprintf("An event of the usual length, such as a grade of a reading, number %d", number)
			if _, err := tx.ExecContext(ctx,
				"INSERT INTO event (session, number, at_ms, grade, words) VALUES (1, ?, ?, ?, ?)", number,
				begin+int64(i)*86400000/eventsPerDay, i%4, words); err != nil {
				return err
			}
		}
		for i := range notesPerDay {
			if _, err := tx.ExecContext(ctx, "INSERT INTO note (session, at_ms, target, band, partner, operator, "+
				"words) VALUES (1, ?, 'Moon', '1296 MHz', 'a partner', 'an operator', 'heard well')",
				begin+int64(i)*60000); err != nil {
				return err
			}
		}
		for i := range record {
			record[i] = byte(rand.Uint32())
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO trip (session, at_ms, cause, next, record) VALUES (1, ?, "+
			"'Driven but not moving', 'Look at the motor.', ?)", begin, record); err != nil {
			return err
		}
	}
	return nil
}
