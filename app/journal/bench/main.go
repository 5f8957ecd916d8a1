// Command bench measures the records: it makes a year of them, says how large
// they are, and how long trends take, beside plain sqlite3 on the same rows;
// then what writing costs.
package main

import (
	"context"
	"database/sql"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"beamhelm/app/journal"
)

func main() {
	days := flag.Int("days", 365, "how many days of readings")
	keep := flag.String("keep", "", "keep the file in this folder, and use the one that is there")
	flag.Parse()
	if err := measure(context.Background(), *days, *keep); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func measure(ctx context.Context, days int, folder string) error {
	if folder == "" {
		var err error
		if folder, err = os.MkdirTemp("", "records-*"); err != nil {
			return err
		}
		defer os.RemoveAll(folder)
	}
	y := year{path: filepath.Join(folder, journal.FileName), end: time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC),
		days: days}
	if _, err := os.Stat(y.path); err != nil {
		began := time.Now()
		if err := y.make(ctx); err != nil {
			return err
		}
		fmt.Printf("made in %.0f s\n", time.Since(began).Seconds())
	}
	info, err := os.Stat(y.path)
	if err != nil {
		return err
	}
	fmt.Println(y.stated())
	fmt.Printf("size: %.0f MB\n", float64(info.Size())/1e6)
	if err := trends(ctx, y); err != nil {
		return err
	}
	return writing(folder)
}

// trends measures trends of every series over a day and a year, each in 1000
// columns, and the same rows by plain sqlite3.
func trends(ctx context.Context, y year) error {
	r, err := journal.OpenReader(y.path)
	if err != nil {
		return err
	}
	defer r.Close()
	for _, span := range []struct {
		name  string
		long  time.Duration
		table string
	}{
		{"24 hours", 24 * time.Hour, "reading_minute"},
		{"a week", 7 * 24 * time.Hour, "reading_minute"},
		{"a year", 365 * 24 * time.Hour, "reading_hour"},
	} {
		var times, plain []float64
		points := 0
		for _, s := range r.Series() {
			took, count, err := trend(ctx, r, s.Key, y.end.Add(-span.long), y.end)
			if err != nil {
				return err
			}
			times, points = append(times, took), max(points, count)
		}
		keys := []string{"drive_supply_v", "azimuth_position_deg", "elevation_peak_current_a"}
		for _, key := range keys {
			took, err := plainly(y, key, span.table, span.long)
			if err != nil {
				return err
			}
			plain = append(plain, took)
		}
		began := time.Now()
		if _, err := r.Trends(ctx, append(keys, "noise_db"), y.end.Add(-span.long), y.end, 1000); err != nil {
			return err
		}
		fmt.Printf("trend of %s: median %.1f ms, longest %.1f ms of %d series, each the best of %d (%d points); four "+
			"together %.1f ms; plain sqlite3 on these rows, its start included: %.0f ms\n",
			span.name, middle(times), slices.Max(times), len(times), tries, points, milliseconds(time.Since(began)),
			middle(plain))
	}
	return search(ctx, r, y)
}

// tries is how often a thing is measured: the shortest is what it costs, the
// others what the machine had to do besides.
const tries = 3

// trend is the time that a trend takes in milliseconds, and how many points it has.
func trend(ctx context.Context, r *journal.Reader, key string, from, to time.Time) (took float64, points int,
	err error) {
	for i := range tries {
		began := time.Now()
		t, err := r.Trends(ctx, []string{key}, from, to, 1000)
		if err != nil {
			return 0, 0, err
		}
		if now := milliseconds(time.Since(began)); i == 0 || now < took {
			took = now
		}
		points = len(t[0].Points)
	}
	return took, points, nil
}

func search(ctx context.Context, r *journal.Reader, y year) error {
	began := time.Now()
	found, err := r.Entries(ctx, journal.Filter{Words: "number 77777"})
	if err != nil {
		return err
	}
	all := milliseconds(time.Since(began))
	began = time.Now()
	day, err := r.Entries(ctx, journal.Filter{From: y.end.Add(-24 * time.Hour)})
	fmt.Printf("search of all events for two words: %.1f ms (%d found); events of a day: %.1f ms (%d)\n", all,
		len(found), milliseconds(time.Since(began)), len(day))
	return err
}

// plainly lets the sqlite3 program draw a series together as a trend does, its
// own start included, and returns milliseconds.
func plainly(y year, key, table string, long time.Duration) (float64, error) {
	from := y.end.Add(-long).Unix()
	width := int64(long.Seconds()) / 1000
	query := fmt.Sprintf(`SELECT (at_s - %[1]d) / %[2]d, sum(%[3]s_mean * seconds) / sum(seconds), min(%[3]s_min),
		max(%[3]s_max) FROM %[4]s WHERE at_s >= %[1]d AND at_s < %[5]d GROUP BY 1`,
		from, max(width, 1), key, table, y.end.Unix())
	var best float64
	for i := range tries {
		began := time.Now()
		out, err := exec.Command("sqlite3", "-readonly", y.path, query).CombinedOutput()
		if err != nil {
			return 0, fmt.Errorf("sqlite3: %w: %s", err, out)
		}
		if strings.Count(string(out), "\n") < 10 {
			return 0, fmt.Errorf("sqlite3 gave only %q", out)
		}
		if now := milliseconds(time.Since(began)); i == 0 || now < best {
			best = now
		}
	}
	return best, nil
}

func milliseconds(d time.Duration) float64 { return float64(d) / 1e6 }

func middle(all []float64) float64 {
	all = slices.Sorted(slices.Values(all))
	return all[len(all)/2]
}

// open opens a file of records for making a year.
func open(path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", path)
	if err == nil {
		db.SetMaxOpenConns(1)
	}
	return db, err
}
