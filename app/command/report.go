package command

import (
	"archive/zip"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"beamhelm"
	"beamhelm/app/crashfile"
	"beamhelm/app/journal"
	"beamhelm/app/logfile"
	"beamhelm/app/regular"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

const reportUsage = `usage: beamhelm report [-settings FILE | -practice] [-days N] FILE.zip

Collects what somebody needs to help you with a fault: the program's
version and computer, the settings and what is wrong with them, what the panel
keeps, its log, and events, alarms, trips, results and readings of the last days (7
without -days). Names and places of users and passwords of brokers are left out; the
station's place is in it, and notes are not. It changes nothing. Look into it
before you hand it on.
`

// Report is `beamhelm report`: a file for asking somebody for help.
func Report(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return ending("report", reportDo(ctx, args, stdout, time.Now()), stdout, stderr, reportUsage)
}

// maxDays is the longest time that a report may be of.
const maxDays = 366

func reportDo(ctx context.Context, args []string, stdout io.Writer, now time.Time) error {
	f := flag.NewFlagSet("report", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	file, practice, days := f.String("settings", "", ""), f.Bool("practice", false, ""), f.Int("days", 7, "")
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case *file != "" && *practice:
		return usageError{errors.New("-settings or -practice, not both")}
	case *days < 1 || *days > maxDays:
		return usageError{fmt.Errorf("-days %d: must be 1 to %d", *days, maxDays)}
	case f.NArg() != 1:
		return usageError{errors.New("report takes one FILE")}
	}
	r := report{source: settings.Source{Practice: true}, since: time.Duration(*days) * 24 * time.Hour, now: now}
	switch {
	case *practice:
		r.settings = settings.Practice()
	case *file != "":
		r.settings, r.source, r.fault = settings.LoadNamed(*file)
		r.source.Path = *file
	default:
		r.settings, r.source, r.fault = settings.LoadUsual(settings.UsualPath())
	}
	if err := newFile(f.Arg(0), func(w io.Writer) error { return r.write(ctx, w) }); err != nil {
		return err
	}
	_, err := fmt.Fprintf(stdout, "%s: %s. Look into it before you hand it on: the station's place is in it.\n",
		f.Arg(0), strings.Join(r.names, ", "))
	return err
}

// report is what goes into the file.
type report struct {
	settings settings.Settings
	source   settings.Source
	fault    error // of the settings
	since    time.Duration
	now      time.Time
	names    []string
}

// write writes every part. What can't be had is told in its place: a fault that
// somebody asks about may be just that.
func (r *report) write(ctx context.Context, w io.Writer) error {
	z := zip.NewWriter(w)
	for _, part := range []struct {
		name  string
		write func(context.Context, io.Writer) error
	}{
		{"program.txt", r.program},
		{"settings.toml", r.settingsText},
		{"settings-check.txt", r.check},
		{"kept.txt", r.kept},
		{"log.txt", r.log},
		{"crash.txt", r.crash},
		{"events.csv", r.table("events")},
		{"alarms.csv", r.table("alarms")},
		{"trips.csv", r.table("trips")},
		{"results.csv", r.table("results")},
		{"readings.csv", r.table("readings")},
	} {
		out, err := z.CreateHeader(&zip.FileHeader{Name: part.name, Method: zip.Deflate, Modified: r.now})
		if err != nil {
			return err
		}
		if err := part.write(ctx, out); err != nil {
			if _, err := fmt.Fprintf(out, "not to be had: %v\n", err); err != nil {
				return err
			}
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		r.names = append(r.names, part.name)
	}
	return z.Close()
}

// program is the version, the computer and what the program is built of.
func (r *report) program(_ context.Context, w io.Writer) error {
	host := "terminal only"
	if os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != "" {
		host = "with a display"
	}
	fmt.Fprintf(w, "Beamhelm %s, of %s\n%s %s/%s, %d processors, %s\nsettings from %s, practice %v\n\n",
		beamhelm.Metadata().Version, r.now.UTC().Format(time.RFC3339), runtime.Version(), runtime.GOOS, runtime.GOARCH,
		runtime.NumCPU(), host,
		r.source.Path, r.source.Practice)
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, d := range info.Deps {
			fmt.Fprintf(w, "%s %s\n", d.Path, d.Version)
		}
	}
	return nil
}

// settingsText is the settings without names and places of users and passwords.
func (r *report) settingsText(_ context.Context, w io.Writer) error {
	if r.fault != nil {
		return errors.New("see settings-check.txt")
	}
	_, err := w.Write(r.settings.Shareable().Text())
	return err
}

func (r *report) check(_ context.Context, w io.Writer) error {
	words := "nothing wrong"
	if r.fault != nil {
		words = r.fault.Error()
	}
	_, err := fmt.Fprintln(w, words)
	return err
}

// maxKept is the most of a kept file that goes into a report, bytes.
const maxKept = 8 << 20

// kept is what the panel keeps between two sessions: references, what the drives
// have shown, trims, survey, receiver.
func (r *report) kept(_ context.Context, w io.Writer) error {
	store, err := kept.UsualStore(r.source)
	if err != nil {
		return err
	}
	files, err := filepath.Glob(filepath.Join(store.Folder, "*.json"))
	if err != nil || len(files) == 0 {
		return errors.Join(err, fmt.Errorf("nothing is kept in %s", store.Folder))
	}
	for _, path := range files {
		text, err := regular.Read(path, maxKept)
		if err != nil {
			text = []byte(err.Error())
		}
		if _, err := fmt.Fprintf(w, "== %s\n%s\n", filepath.Base(path), text); err != nil {
			return err
		}
	}
	return nil
}

// log is the program's own log, the older file first.
func (r *report) log(_ context.Context, w io.Writer) error {
	store, err := kept.UsualStore(r.source)
	if err != nil {
		return err
	}
	for _, name := range []string{logfile.Name + logfile.Older, logfile.Name} {
		text, err := regular.Read(filepath.Join(store.Folder, name), 2*logfile.MaxBytes)
		if errors.Is(err, fs.ErrNotExist) && name != logfile.Name {
			continue // it has not been full yet
		}
		if err != nil {
			return err
		}
		if _, err := w.Write(text); err != nil {
			return err
		}
	}
	return nil
}

// crash is what the runtime said when it ended a session at once: the newest that there was.
func (r *report) crash(_ context.Context, w io.Writer) error {
	store, err := kept.UsualStore(r.source)
	if err != nil {
		return err
	}
	for _, name := range []string{crashfile.Name, crashfile.Name + crashfile.Older} {
		text, err := regular.Read(filepath.Join(store.Folder, name), maxCrash)
		if err == nil && len(text) > 0 || err != nil && !errors.Is(err, fs.ErrNotExist) {
			_, writeErr := w.Write(text)
			return errors.Join(err, writeErr)
		}
	}
	_, err = io.WriteString(w, "none\n")
	return err
}

// maxCrash is the most that is read of a crash, bytes.
const maxCrash = 4 << 20

// table writes a table of the records, from some days before their end.
func (r *report) table(name string) func(context.Context, io.Writer) error {
	return func(ctx context.Context, w io.Writer) (err error) {
		f := recordsFlags{practice: r.source.Practice, settings: r.source.Path}
		path, err := f.path()
		if err != nil {
			return err
		}
		records, err := journal.OpenReader(path)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, records.Close()) }()
		_, end, err := records.Span(ctx)
		if err != nil {
			return err
		}
		if end.IsZero() {
			end = r.now
		}
		e := journal.Export{Table: name, From: end.Add(-r.since), To: end.Add(time.Hour)}
		if name == "readings" {
			e.Every = time.Hour
		}
		return records.Export(ctx, w, e)
	}
}
