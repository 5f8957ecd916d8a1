package journal

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"time"
)

// keptSeconds is how long readings of every second, and places while moving, are kept.
const keptSeconds = 7 * 24 * 3600

// span is a time to be condensed, in seconds since 1970: minutes from the
// seconds, or hours from the minutes.
type span struct {
	from, to int64
	hours    bool
}

// maxSpan is how much of a span is done in one turn.
const maxSpan = 3600

// passed takes note of a second that has been written: a minute or hour that
// it is not in any more can be condensed.
func (w *writer) passed(second int64) {
	w.newest = second
	if minute := second / 60 * 60; minute != w.minute {
		if w.minute >= 0 {
			w.condenseLater(span{from: w.minute, to: w.minute + 60})
		}
		w.minute = minute
	}
	if hour := second / 3600 * 3600; hour != w.hour {
		if w.hour >= 0 {
			w.condenseLater(span{w.hour, w.hour + 3600, true})
		}
		w.hour = hour
	}
}

// condenseLater adds a span, to one that it goes on from where there is one:
// minutes never come later by that than the hour that is made of them.
func (w *writer) condenseLater(s span) {
	for i, other := range w.due {
		if other.hours == s.hours && other.to == s.from {
			w.due[i].to = s.to
			return
		}
	}
	w.due = append(w.due, s)
}

// takeUp finds out what an earlier session couldn't condense any more, and
// goes on from its newest second as if that had been written now.
func (w *writer) takeUp(ctx context.Context, c querier) error {
	w.due, w.minute, w.hour = nil, -1, -1
	var hour, minute, first, second sql.NullInt64
	err := c.QueryRowContext(ctx, `SELECT coalesce((SELECT max(at_s) FROM reading_hour), (SELECT min(at_s) FROM reading_minute)),
		(SELECT max(at_s) FROM reading_minute), (SELECT min(at_s) FROM reading_second), (SELECT max(at_s) FROM reading_second)`).Scan(&hour, &minute, &first, &second)
	if err != nil || !second.Valid {
		return err
	}
	w.minute, w.hour = second.Int64/60*60, second.Int64/3600*3600
	from := first.Int64
	if minute.Valid {
		from = max(from, minute.Int64)
	}
	w.due = append(w.due, span{from: from / 60 * 60, to: w.minute})
	if hour.Valid {
		from = hour.Int64
	}
	w.due = append(w.due, span{from / 3600 * 3600, w.hour, true})
	return nil
}

// upkeep does a small piece of what has to be done now and then.
func (w *writer) upkeep(ctx context.Context, now time.Time) error {
	if len(w.due) > 0 {
		next := w.due[0]
		piece := span{next.from, min(next.to, (next.from/maxSpan+1)*maxSpan), next.hours}
		if piece.from < piece.to {
			if err := w.condense(ctx, piece); err != nil {
				return err
			}
		}
		if w.due[0].from = piece.to; piece.to >= next.to {
			w.due = w.due[1:]
		}
		return nil
	}
	if now.Before(w.cleanAt) || w.newest == 0 {
		return nil
	}
	w.cleanAt = now.Add(10 * time.Second)
	if err := w.file.stillThere(); err != nil {
		w.session = 0
		return err
	}
	if err := w.sessionGoesOn(ctx); err != nil {
		return err
	}
	return w.forget(ctx, now)
}

func (w *writer) condense(ctx context.Context, s span) error {
	query := minutesFrom()
	if s.hours {
		query = hoursFrom()
	}
	statement, err := w.file.statement(ctx, query)
	if err != nil {
		return err
	}
	_, err = statement.ExecContext(ctx, s.from, s.to)
	return err
}

// forget removes readings and places that are older than is kept, some at a
// time. Seconds go only when there is a minute that is as new. A clock that is
// set forward makes nothing older than it is.
func (w *writer) forget(ctx context.Context, now time.Time) error {
	const some = 1000
	before := min(w.newest, w.first+int64(now.Sub(w.firstAt)/time.Second)) - keptSeconds
	_, err := w.file.conn.ExecContext(ctx, `DELETE FROM reading_second WHERE at_s IN
		(SELECT at_s FROM reading_second WHERE at_s < min(?, (SELECT max(at_s) FROM reading_minute)) ORDER BY at_s LIMIT ?)`, before, some)
	if err != nil {
		return err
	}
	_, err = w.file.conn.ExecContext(ctx, `DELETE FROM motion WHERE at_ms IN
		(SELECT at_ms FROM motion WHERE at_ms < ? ORDER BY at_ms LIMIT ?)`, 1000*before, 2*some)
	return err
}

// putReading is the statement that puts a row of readings.
func putReading() string {
	all := AllSeries()
	keys := make([]string, len(all))
	for i, s := range all {
		keys[i] = s.Key
	}
	return fmt.Sprintf("INSERT OR REPLACE INTO reading_second (at_s, %s) VALUES (?%s)", strings.Join(keys, ", "),
		strings.Repeat(", ?", len(all)))
}

// minutesFrom makes minutes from the seconds from one time to before another.
func minutesFrom() string {
	columns, values := []string{"at_s", "seconds"}, []string{"at_s / 60 * 60", "count(*)"}
	for _, s := range AllSeries() {
		mean := "avg(" + s.Key + ")"
		if s.Circle {
			mean = circleMean(s.Key, "1")
		}
		columns = append(columns, s.Key+"_mean", s.Key+"_min", s.Key+"_max")
		values = append(values, mean, "min("+s.Key+")", "max("+s.Key+")")
	}
	return condensing("reading_minute", "reading_second", "at_s / 60", columns, values)
}

// hoursFrom makes hours from the minutes, each weighed with its seconds. A
// minute in which a figure was there for a part only counts for its whole.
func hoursFrom() string {
	columns, values := []string{"at_s", "seconds"}, []string{"at_s / 3600 * 3600", "sum(seconds)"}
	for _, s := range AllSeries() {
		k := s.Key
		mean := fmt.Sprintf("sum(%[1]s_mean * seconds) / sum(CASE WHEN %[1]s_mean IS NOT NULL THEN seconds END)", k)
		if s.Circle {
			mean = circleMean(k+"_mean", "seconds")
		}
		columns = append(columns, k+"_mean", k+"_min", k+"_max")
		values = append(values, mean, "min("+k+"_min)", "max("+k+"_max)")
	}
	return condensing("reading_hour", "reading_minute", "at_s / 3600", columns, values)
}

func condensing(into, from, group string, columns, values []string) string {
	return fmt.Sprintf("INSERT OR REPLACE INTO %s (%s) SELECT %s FROM %s WHERE at_s >= ? AND at_s < ? GROUP BY %s",
		into, strings.Join(columns, ", "), strings.Join(values, ", "), from, group)
}

// circleMean is the direction of the sum of unit vectors, 0 to below 360 degrees.
func circleMean(key, weight string) string {
	return fmt.Sprintf(
		"mod(degrees(atan2(sum(%[2]s * sin(radians(%[1]s))), sum(%[2]s * cos(radians(%[1]s))))) + 360, 360)", key,
		weight)
}
