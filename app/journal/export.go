package journal

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Export says what is wanted as CSV.
type Export struct {
	// Table is one of ExportTables.
	Table    string
	From, To time.Time // both included; zero: no bound
	// Every is how far apart readings are: a second, a minute or an hour.
	Every time.Duration
	// Keys are the series of readings wanted; none: all that are in the file.
	Keys []string
}

// Readings is the table of readings; the others are kinds of entry and motion.
const readings, motion = "readings", "motion"

// exports gives for each other table its columns after the time, as they are
// named in the file.
//
//beamhelm:table
func exports() map[string]string {
	return map[string]string{
		motion: "activity, azimuth_position_deg, azimuth_commanded_deg, azimuth_drive_percent, " +
			"elevation_position_deg, elevation_commanded_deg, elevation_drive_percent, pointing_error_deg, keyed",
		"events": "session, number, grade, words",
		"alarms": "session, number, acknowledged_ms AS acknowledged_utc, cleared_ms AS cleared_utc, " +
			"grade, words, next",
		"trips":   "session, id, tripped, cause, next",
		"results": "session, kind, words, detail",
		"notes":   "azimuth_deg, elevation_deg, target, doppler_hz, noise_db, band, partner, operator, words",
		"contacts": "call, locator, own_call, own_locator, operator, mhz, band, mode, sent, received, azimuth_deg, " +
			"elevation_deg, doppler_hz, degradation_db, system_k, noise_db, power_w, comment",
		"settings": "session, words, text",
	}
}

// ExportTables are the names of what can be exported.
func ExportTables() []string {
	names := []string{readings}
	for name := range exports() {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Export writes a table as RFC 4180 says, with a header, oldest first. Times
// are UTC by RFC 3339; figures have their unit in the header and at most six
// decimals; where there is none the field is empty. The grades are 0 normal,
// 1 notice, 2 warning, 3 alarm.
func (r *Reader) Export(ctx context.Context, w io.Writer, e Export) error {
	query, scale, err := r.exportQuery(e)
	if err != nil {
		return err
	}
	low, high := int64(-1<<62), int64(1<<62)
	if !e.From.IsZero() {
		low = e.From.UnixMilli() / scale
	}
	if !e.To.IsZero() {
		high = e.To.UnixMilli() / scale
	}
	rows, err := r.db.QueryContext(ctx, query, low, high)
	if err != nil {
		return told("export the "+e.Table, err)
	}
	defer rows.Close()
	names, err := rows.Columns()
	if err != nil {
		return told("export the "+e.Table, err)
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	out.Write(names) // its error is kept until Flush
	cells, words := make([]any, len(names)), make([]string, len(names))
	targets := make([]any, len(names))
	for i := range cells {
		targets[i] = &cells[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return told("export the "+e.Table, err)
		}
		for i, c := range cells {
			words[i] = cellWords(names[i], c, scale)
		}
		if err := out.Write(words); err != nil {
			return told("export the "+e.Table, err)
		}
	}
	if err := rows.Err(); err != nil {
		return told("export the "+e.Table, err)
	}
	out.Flush()
	return told("export the "+e.Table, out.Error())
}

// exportQuery is the query, and how many milliseconds its first column counts in.
func (r *Reader) exportQuery(e Export) (query string, scale int64, err error) {
	if e.Table == readings {
		return r.readingsQuery(e)
	}
	columns, known := exports()[e.Table]
	switch {
	case !known:
		return "", 0, fmt.Errorf("export: %q is none of %s", e.Table, strings.Join(ExportTables(), ", "))
	case len(e.Keys) > 0 || e.Every != 0:
		return "", 0, fmt.Errorf("export: only readings have series and steps, %s have not", e.Table)
	}
	table := strings.TrimSuffix(e.Table, "s")
	return fmt.Sprintf("SELECT at_ms AS utc, %s FROM %s WHERE at_ms BETWEEN ? AND ? ORDER BY at_ms", columns, table), 1,
		nil
}

func (r *Reader) readingsQuery(e Export) (query string, scale int64, err error) {
	keys := e.Keys
	if len(keys) == 0 {
		for _, s := range r.Series() {
			keys = append(keys, s.Key)
		}
	}
	table, columns := "reading_minute", []string{"at_s AS utc"}
	switch e.Every {
	case time.Second:
		table = "reading_second"
	case time.Minute:
	case time.Hour:
		table = "reading_hour"
	default:
		return "", 0, fmt.Errorf("export: readings are kept every second, minute or hour, not every %s", e.Every)
	}
	for _, k := range keys {
		if !r.keys[k] {
			return "", 0, fmt.Errorf("export: no series %q is recorded", k)
		}
		if e.Every == time.Second {
			columns = append(columns, k)
			continue
		}
		columns = append(columns, k+"_mean", k+"_min", k+"_max")
	}
	return fmt.Sprintf("SELECT %s FROM %s WHERE at_s BETWEEN ? AND ? ORDER BY at_s", strings.Join(columns, ", "),
		table), 1000, nil
}

// plain is words without what a terminal or a table would obey instead of
// showing it: control characters and marks of direction become spaces. Lines stay lines.
func plain(words string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) && r != '\n' {
			return ' '
		}
		return r
	}, words)
}

// cellWords writes a field.
func cellWords(name string, value any, scale int64) string {
	switch v := value.(type) {
	case nil:
		return ""
	case int64:
		switch {
		case name == "utc" && scale == 1000:
			return time.Unix(v, 0).UTC().Format(time.RFC3339)
		case strings.HasSuffix(name, "utc"):
			return time.UnixMilli(v).UTC().Format("2006-01-02T15:04:05.000Z07:00")
		}
		return strconv.FormatInt(v, 10)
	case float64:
		words := strconv.FormatFloat(v, 'f', 6, 64)
		words = strings.TrimRight(strings.TrimRight(words, "0"), ".")
		if words == "-0" {
			return "0"
		}
		return words
	case []byte:
		return plain(string(v))
	case string:
		return plain(v)
	}
	return fmt.Sprint(value)
}
