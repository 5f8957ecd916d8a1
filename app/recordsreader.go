package main

import (
	"context"
	"sync"
	"time"

	"beamhelm/app/journal"
)

// recordsReader looks back into the records of a path. It opens them when they are
// first asked for, and again after a failure: the file may have been set aside.
type recordsReader struct {
	path string

	mu     sync.Mutex
	reader *journal.Reader
}

// Trends is that of journal.Reader.
func (l *recordsReader) Trends(ctx context.Context, keys []string, from, to time.Time,
	columns int) (trends []journal.Trend, err error) {
	err = l.with(func(r *journal.Reader) error {
		trends, err = r.Trends(ctx, keys, from, to, columns)
		return err
	})
	return trends, err
}

// Entries is that of journal.Reader.
func (l *recordsReader) Entries(ctx context.Context, f journal.Filter) (all []journal.Entry, err error) {
	err = l.with(func(r *journal.Reader) error {
		all, err = r.Entries(ctx, f)
		return err
	})
	return all, err
}

// Places is that of journal.Reader.
func (l *recordsReader) Places(ctx context.Context, from, to time.Time, limit int) (
	places []journal.Place, err error,
) {
	err = l.with(func(r *journal.Reader) error {
		places, err = r.Places(ctx, from, to, limit)
		return err
	})
	return places, err
}

func (l *recordsReader) with(do func(*journal.Reader) error) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.reader == nil {
		r, err := journal.OpenReader(l.path)
		if err != nil {
			return err
		}
		l.reader = r
	}
	err := do(l.reader)
	if err != nil {
		l.reader.Close()
		l.reader = nil
	}
	return err
}

// close closes what is open.
func (l *recordsReader) close() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.reader != nil {
		l.reader.Close()
		l.reader = nil
	}
}
