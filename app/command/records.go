package command

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"beamhelm"
	"beamhelm/app/contact"
	"beamhelm/app/journal"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

const recordsUsage = `usage: beamhelm records export [-from RFC3339] [-to RFC3339] [-every second|minute|hour] [-of KEY,KEY...] [-out FILE] TABLE
       beamhelm records log [-from RFC3339] [-to RFC3339] [-out FILE]
       beamhelm records copy FILE
       beamhelm records trip NUMBER FILE
       beamhelm records check
       beamhelm records list

export writes a table as CSV (RFC 4180): alarms, contacts, events, motion, notes, readings,
results, settings or trips. Readings are kept every second for a week, then as
means, minima and maxima of minutes and hours; -every chooses the interval (default
minute), -of the readings.
log writes the contacts with other stations as ADIF, version 3.
copy writes a copy that is whole and of one moment, also while the panel runs.
trip writes the record that replays a trip; export trips tells their numbers.
check reads everything and says what is damaged. list names the readings.

Which records: with -settings FILE those of that file's dish, with -practice
those of the newest session of practice, with -file FILE a copy; otherwise those of
the default settings.
`

// Records is `beamhelm records`: looking into what was recorded, and copying it.
func Records(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return ending("records", recordsDo(ctx, args, stdout), stdout, stderr, recordsUsage)
}

// recordsFlags are the flags of all its words.
type recordsFlags struct {
	*flag.FlagSet
	settings, file, out string
	practice            bool
	export              journal.Export
}

func newRecordsFlags() *recordsFlags {
	f := &recordsFlags{FlagSet: flag.NewFlagSet("records", flag.ContinueOnError)}
	f.SetOutput(io.Discard)
	f.StringVar(&f.settings, "settings", "", "")
	f.StringVar(&f.file, "file", "", "")
	f.BoolVar(&f.practice, "practice", false, "")
	return f
}

func (f *recordsFlags) forExport() {
	f.StringVar(&f.out, "out", "", "")
	f.Func("from", "", momentInto(&f.export.From))
	f.Func("to", "", momentInto(&f.export.To))
	f.Func("of", "", func(keys string) error {
		f.export.Keys = strings.Split(keys, ",")
		return nil
	})
	f.Func("every", "", func(word string) error {
		every, known := map[string]time.Duration{"second": time.Second, "minute": time.Minute, "hour": time.Hour}[word]
		if !known {
			return errors.New("second, minute or hour is allowed")
		}
		f.export.Every = every
		return nil
	})
}

func momentInto(at *time.Time) func(string) error {
	return func(words string) (err error) {
		*at, err = time.Parse(time.RFC3339, words)
		return err
	}
}

// recordsTakes says how many things a word takes after its flags; ok is false
// when there is no such word.
func recordsTakes(word string) (count int, words string, ok bool) {
	switch word {
	case "export":
		return 1, "one TABLE", true
	case "copy":
		return 1, "one FILE", true
	case "trip":
		return 2, "a NUMBER and a FILE", true
	case "check", "list", "log":
		return 0, "nothing more", true
	}
	return 0, "", false
}

func recordsDo(ctx context.Context, args []string, stdout io.Writer) error {
	f := newRecordsFlags()
	word := ""
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		word, args = args[0], args[1:]
	}
	if word == "export" || word == "log" {
		f.forExport()
	}
	err := f.Parse(args)
	count, takes, known := recordsTakes(word)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case word == "":
		return usageError{errors.New("export, log, copy, trip, check or list?")}
	case !known:
		return usageError{fmt.Errorf("%q is none of export, log, copy, trip, check, list", word)}
	case f.NArg() != count:
		return usageError{fmt.Errorf("%s takes %s", word, takes)}
	}
	path, err := f.path()
	if err != nil {
		return err
	}
	r, err := journal.OpenReader(path)
	if err != nil {
		return err
	}
	return errors.Join(recordsWork(ctx, r, word, f, stdout), r.Close())
}

// path is the file of records that the flags mean.
func (f *recordsFlags) path() (string, error) {
	source := settings.Source{Practice: true}
	switch {
	case f.file != "":
		return f.file, nil
	case f.practice:
	case f.settings != "":
		source = settings.Source{Path: f.settings}
	default:
		// The settings themselves don't matter, even if they have a fault.
		path := settings.UsualPath()
		if _, err := os.Stat(path); err == nil {
			source = settings.Source{Path: path}
		}
	}
	store, err := kept.UsualStore(source)
	if err == nil && source.Practice {
		return journal.NewestPractice(store.Folder)
	}
	return filepath.Join(store.Folder, journal.FileName), err
}

func recordsWork(ctx context.Context, r *journal.Reader, word string, f *recordsFlags, stdout io.Writer) error {
	switch word {
	case "export":
		return recordsExport(ctx, r, f, stdout)
	case "log":
		return recordsLog(ctx, r, f, stdout)
	case "copy":
		return r.Copy(ctx, f.Arg(0))
	case "trip":
		id, err := strconv.ParseInt(f.Arg(0), 10, 64)
		if err != nil {
			return usageError{fmt.Errorf("%q is no number of a trip", f.Arg(0))}
		}
		record, err := r.TripRecord(ctx, id)
		if err != nil {
			return err
		}
		return newFile(f.Arg(1), func(w io.Writer) error {
			_, err := w.Write(record)
			return err
		})
	case "check":
		return recordsCheck(ctx, r, stdout)
	}
	for _, s := range r.Series() {
		if _, err := fmt.Fprintf(stdout, "%-28s %s\n", s.Key, strings.TrimSpace(s.Name+"  "+s.Unit)); err != nil {
			return err
		}
	}
	return nil
}

func recordsExport(ctx context.Context, r *journal.Reader, f *recordsFlags, stdout io.Writer) error {
	e := f.export
	if e.Table = f.Arg(0); e.Table == "readings" && e.Every == 0 {
		e.Every = time.Minute
	}
	if f.out == "" {
		return r.Export(ctx, stdout, e)
	}
	return newFile(f.out, func(w io.Writer) error { return r.Export(ctx, w, e) })
}

func recordsLog(ctx context.Context, r *journal.Reader, f *recordsFlags, stdout io.Writer) error {
	if len(f.export.Keys) > 0 || f.export.Every != 0 {
		return usageError{errors.New("only readings have series and steps, the log has not")}
	}
	all, err := r.Contacts(ctx, f.export.From, f.export.To)
	if err != nil {
		return err
	}
	text := contact.ADIF(all, beamhelm.Metadata().Version, time.Now())
	write := func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
	if f.out == "" {
		return write(stdout)
	}
	return newFile(f.out, write)
}

func recordsCheck(ctx context.Context, r *journal.Reader, stdout io.Writer) error {
	faults, err := r.Check(ctx)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return fmt.Errorf("the records are damaged: %s", strings.Join(faults, "; "))
	}
	from, to, err := r.Span(ctx)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(stdout, "nothing wrong: readings from %s to %s\n", from.Format(time.RFC3339),
		to.Format(time.RFC3339))
	return err
}

// newFile writes a file that doesn't exist yet; what could not be completed is removed.
func newFile(path string, write func(io.Writer) error) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(file)
	err = write(out)
	if err == nil {
		err = out.Flush()
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}
