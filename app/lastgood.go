package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"beamhelm/app/journal"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

// unusableError tells that the settings file of a path can't be read or used.
type unusableError struct {
	path string
	error
}

// Unwrap is what is wrong with it.
func (e unusableError) Unwrap() error { return e.error }

// lookWithin is how long the records may take to give the settings.
const lookWithin = 3 * time.Second

// lastGood are the settings that were last in force of a file, and since when: the records have
// them, without users and password files.
func lastGood(path string) (s settings.Settings, at time.Time, err error) {
	store, err := kept.UsualStore(settings.Source{Path: path})
	if err != nil {
		return s, at, err
	}
	records, err := journal.OpenReader(filepath.Join(store.Folder, journal.FileName))
	if err != nil {
		return s, at, err
	}
	defer records.Close()
	ctx, end := context.WithTimeout(context.Background(), lookWithin)
	defer end()
	at, text, err := records.Settings(ctx)
	if err != nil {
		return s, at, err
	}
	s, err = settings.Parse("the settings in the records", []byte(text))
	return s, at, err
}

// load reads the settings that the options ask for. Where the file can't be used and the operator has chosen so,
// those that were last in force stand in for it.
func load(o options) (settings.Settings, settings.Source, error) {
	if o.practice {
		return settings.Practice(), settings.Source{Practice: true}, nil
	}
	path, read := settings.UsualPath(), settings.LoadUsual
	if o.named {
		path, read = o.settings, settings.LoadNamed
	}
	s, source, err := read(path)
	if err == nil || path == "" {
		return s, source, err
	}
	err = unusableError{path, err}
	if !o.recorded {
		return s, source, err
	}
	s, at, why := lastGood(path)
	if why != nil {
		return s, source, errors.Join(err, fmt.Errorf("the records give no settings either: %w", why))
	}
	return s, settings.Source{Path: path, Recorded: at}, nil
}
