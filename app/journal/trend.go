package journal

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"strings"
	"time"
)

// Trend is a series over a time, drawn together to points.
type Trend struct {
	Key string
	// Step is the time that each point stands for.
	Step   time.Duration
	Points []Point // in their order; where nothing was recorded there are none
}

// Point is what a series was from At to At plus the step.
type Point struct {
	At             time.Time
	Min, Mean, Max float64
	// Recorded is for how long of that it was recorded, to the second.
	Recorded time.Duration
}

// level is one of the tables of readings.
type level struct {
	table string
	step  int64 // seconds
}

// levels are the tables of readings, the coarsest first. Read only.
var levels = [...]level{{"reading_hour", 3600}, {"reading_minute", 60}, {"reading_second", 1}}

// Trends are series from one time to before another, drawn together to at most
// so many columns each. They are made from hours or minutes where these are
// not more than twice as long as a column, else from seconds, and from
// something finer where the newest isn't condensed yet. Seconds older than a
// week are there no more: minutes stand in.
func (r *Reader) Trends(ctx context.Context, keys []string, from, to time.Time, columns int) ([]Trend, error) {
	for _, key := range keys {
		if _, known := SeriesOf(key); !known || !r.keys[key] {
			return nil, fmt.Errorf("no series %q is recorded", key)
		}
	}
	first, last := from.Unix(), to.Unix()
	if columns < 1 || last <= first {
		return nil, fmt.Errorf("trends: %d columns from %v to %v can't be drawn", columns, from, to)
	}
	width := max(1, (last-first+int64(columns)-1)/int64(columns))
	begin := 0
	for begin < len(levels)-1 && levels[begin].step > 2*width {
		begin++
	}
	parts, err := r.parts(ctx, begin, first, last)
	if err != nil {
		return nil, told("read trends", err)
	}
	for _, p := range parts {
		width = max(width, p.step)
	}
	trends := make([]Trend, len(keys))
	for i, key := range keys {
		trends[i] = Trend{Key: key, Step: time.Duration(width) * time.Second}
	}
	err = r.gather(ctx, trends, parts, first, width)
	return trends, told("read trends", err)
}

// part is a time to be read from one table.
type part struct {
	level
	from, to int64
}

// parts says which table covers which part of a time: the one wanted as far as
// it goes, then finer ones; before the first second, minutes.
func (r *Reader) parts(ctx context.Context, begin int, from, to int64) (parts []part, err error) {
	if begin == len(levels)-1 {
		var oldest sql.NullInt64
		if err := r.db.QueryRowContext(ctx, `SELECT min(at_s) FROM reading_second WHERE at_s >= ?`,
			from).Scan(&oldest); err != nil {
			return nil, err
		}
		// With a minute's doubt: what is asked for may begin where nothing was recorded.
		if !oldest.Valid || oldest.Int64 > from+60 {
			begin--
			if oldest.Valid && oldest.Int64 < to {
				parts, from, err = r.until(ctx, parts, levels[begin], from, oldest.Int64)
				begin++
			}
		}
	}
	for ; begin < len(levels) && from < to && err == nil; begin++ {
		parts, from, err = r.until(ctx, parts, levels[begin], from, to)
	}
	return parts, err
}

// until adds the part of a time that a table covers, and returns where the rest begins.
func (r *Reader) until(ctx context.Context, parts []part, l level, from, to int64) ([]part, int64, error) {
	var newest sql.NullInt64
	err := r.db.QueryRowContext(ctx, fmt.Sprintf(`SELECT max(at_s) FROM %s WHERE at_s >= ? AND at_s < ?`, l.table),
		from, to).Scan(&newest)
	if err != nil || !newest.Valid {
		return parts, from, err
	}
	end := min(to, newest.Int64+l.step)
	return append(parts, part{l, from, end}), end, nil
}

// gather reads the parts; points of two parts that meet in a column become one.
func (r *Reader) gather(ctx context.Context, trends []Trend, parts []part, first, width int64) error {
	sums, circles := make([]columnSum, len(trends)), make([]bool, len(trends))
	for i := range trends {
		circles[i] = circle(trends[i].Key)
	}
	emit := func(i int) {
		if s := &sums[i]; s.mean.Weight > 0 {
			at := time.Unix(first+s.column*width, 0).UTC()
			trends[i].Points = append(trends[i].Points, Point{At: at, Min: s.minimum, Mean: s.mean.Mean(),
				Max: s.maximum, Recorded: time.Duration(s.mean.Weight) * time.Second})
		}
		sums[i] = columnSum{}
	}
	for _, p := range parts {
		rows, err := r.db.QueryContext(ctx, trendQuery(trends, p.level), first, width, p.from, p.to)
		if err != nil {
			return err
		}
		figures := make([]sql.NullFloat64, 4*len(trends))
		var column int64
		targets := []any{&column}
		for i := range figures {
			targets = append(targets, &figures[i])
		}
		for rows.Next() {
			if err := rows.Scan(targets...); err != nil {
				rows.Close()
				return err
			}
			for i := range trends {
				if sums[i].column != column {
					emit(i)
				}
				sums[i].add(column, circles[i], figures[4*i:])
			}
		}
		if err := rows.Err(); err != nil {
			return err
		}
	}
	for i := range trends {
		emit(i)
	}
	return nil
}

// columnSum is what has come together in a column so far.
type columnSum struct {
	column           int64
	mean             Average
	minimum, maximum float64
}

func (s *columnSum) add(column int64, circle bool, f []sql.NullFloat64) {
	mean, weight, minimum, maximum := f[0], f[1], f[2], f[3]
	if !weight.Valid || weight.Float64 == 0 {
		return
	}
	if s.mean.Weight == 0 {
		*s = columnSum{column: column, mean: Average{Circle: circle}, minimum: math.Inf(1), maximum: math.Inf(-1)}
	}
	s.mean.Add(mean.Float64, weight.Float64)
	s.minimum, s.maximum = min(s.minimum, minimum.Float64), max(s.maximum, maximum.Float64)
}

// trendQuery gives for each column of the picture its number and, of each
// series, mean, weight (seconds recorded), least and most.
func trendQuery(trends []Trend, l level) string {
	var figures strings.Builder
	for _, t := range trends {
		if l.step == 1 {
			mean := "avg(" + t.Key + ")"
			if circle(t.Key) {
				mean = circleMean(t.Key, "1")
			}
			fmt.Fprintf(&figures, ", %[2]s, count(%[1]s), min(%[1]s), max(%[1]s)", t.Key, mean)
			continue
		}
		seconds := "sum(CASE WHEN " + t.Key + "_mean IS NOT NULL THEN seconds END)"
		mean := "sum(" + t.Key + "_mean * seconds) / " + seconds
		if circle(t.Key) {
			mean = circleMean(t.Key+"_mean", "seconds")
		}
		fmt.Fprintf(&figures, ", %[2]s, %[3]s, min(%[1]s_min), max(%[1]s_max)", t.Key, mean, seconds)
	}
	return fmt.Sprintf("SELECT (at_s - ?) / ?%s FROM %s WHERE at_s >= ? AND at_s < ? GROUP BY 1 ORDER BY 1",
		figures.String(), l.table)
}

// circle says whether a series is a direction.
func circle(key string) bool {
	s, _ := SeriesOf(key)
	return s.Circle
}
