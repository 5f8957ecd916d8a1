package journal

import (
	"context"
	"fmt"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// What is the kind of an entry.
type What string

// The kinds of entry.
const (
	WhatEvent    What = "event"
	WhatAlarm    What = "alarm"
	WhatTrip     What = "trip"
	WhatLockOut  What = "lock-out" // that was no trip
	WhatResult   What = "result"
	WhatNote     What = "note"
	WhatContact  What = "contact"
	WhatSettings What = "setting"
)

// Entry is something that was recorded at a moment.
type Entry struct {
	What What
	// ID is its number among its kind, Session that of the program's run.
	ID, Session int64
	At          time.Time
	Grade       desk.Grade
	Words       string
}

// Filter says which entries are wanted. Its zero wants all.
type Filter struct {
	From, To time.Time // both included; zero: no bound
	Kinds    []What    // none: all
	MinGrade desk.Grade
	// Words that must all be in it, in any order; capital and small letters of English are alike.
	Words string
	// Most is the greatest number wanted, of the newest; 0: a thousand.
	Max int
}

// entryTables are where the entries of each kind are: in which rows of which table, and how those give grade and words.
//
//beamhelm:table
func entryTables() []struct {
	what                      What
	table, rows, grade, words string
} {
	return []struct {
		what                      What
		table, rows, grade, words string
	}{
		{WhatEvent, "event", "1", "grade", "words"},
		{WhatAlarm, "alarm", "1", "grade", "words"},
		{WhatTrip, "trip", "tripped", "3", "cause"},
		{WhatLockOut, "trip", "NOT tripped", "0", "cause"},
		{WhatResult, "result", "1", "0", "kind || ': ' || words"},
		{WhatNote, "note", "1", "0", "trim(words || ' ' || partner || ' ' || operator || ' ' || band || ' ' || " +
			"target)"},
		{WhatContact, "contact", "1", "0", "trim('Contact with ' || call || ', ' || band || ' ' || mode || " +
			"iif(sent = '', '', ', sent ' || sent) || iif(received = '', '', ', received ' || received) || " +
			"' ' || comment)"},
		{WhatSettings, "setting", "1", "0", "words"},
	}
}

// Entries are what was recorded, newest first.
func (r *Reader) Entries(ctx context.Context, f Filter) (all []Entry, err error) {
	query, args := f.query()
	if query == "" {
		return nil, nil
	}
	rows, err := r.db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, told("read what happened", err)
	}
	defer rows.Close()
	for rows.Next() {
		var h Entry
		var at int64
		if err := rows.Scan(&h.What, &h.ID, &h.Session, &at, &h.Grade, &h.Words); err != nil {
			return nil, told("read what happened", err)
		}
		h.At = time.UnixMilli(at).UTC()
		all = append(all, h)
	}
	return all, told("read what happened", rows.Err())
}

// query is empty when a kind is wanted that doesn't exist.
func (f Filter) query() (query string, args []any) {
	var tables []string
	for _, t := range entryTables() {
		if !f.includes(t.what) {
			continue
		}
		conditions := []string{"grade_of >= ?"}
		args = append(args, f.MinGrade)
		if !f.From.IsZero() {
			conditions, args = append(conditions, "at_ms >= ?"), append(args, f.From.UnixMilli())
		}
		if !f.To.IsZero() {
			conditions, args = append(conditions, "at_ms <= ?"), append(args, f.To.UnixMilli())
		}
		for _, word := range strings.Fields(f.Words) {
			conditions, args = append(conditions, `words_of LIKE ? ESCAPE '\'`), append(args, "%"+literal(word)+"%")
		}
		tables = append(tables,
			fmt.Sprintf(
				"SELECT * FROM (SELECT '%s' what, id, session, at_ms, %s grade_of, %s words_of FROM %s WHERE %s) "+
					"WHERE %s",
				t.what, t.grade, t.words, t.table, t.rows, strings.Join(conditions, " AND ")))
	}
	if len(tables) == 0 {
		return "", nil
	}
	maximum := f.Max
	if maximum <= 0 {
		maximum = 1000
	}
	return strings.Join(tables, " UNION ALL ") + " ORDER BY at_ms DESC, id DESC, what LIMIT ?", append(args, maximum)
}

func (f Filter) includes(w What) bool {
	for _, kind := range f.Kinds {
		if kind == w {
			return true
		}
	}
	return len(f.Kinds) == 0
}

// literal makes a word mean itself in LIKE.
func literal(word string) string {
	return strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`).Replace(word)
}

// Place is where a moving dish was. What was not known is NaN.
type Place struct {
	At                             time.Time
	Activity                       string
	AzPositionDeg, AzSetpointDeg   float64
	ElPositionDeg, ElSetpointDeg   float64
	OffDeg                         float64
	AzDrivePercent, ElDrivePercent float64
	Keyed                          bool
}

// Places are where the dish was while it moved, oldest first, at most so many.
func (r *Reader) Places(ctx context.Context, from, to time.Time, maximum int) (places []Place, err error) {
	rows, err := r.db.QueryContext(
		ctx,
		`SELECT at_ms, activity, azimuth_position_deg, azimuth_commanded_deg, elevation_position_deg,
		elevation_commanded_deg, pointing_error_deg, azimuth_drive_percent, elevation_drive_percent, keyed
		FROM motion WHERE at_ms BETWEEN ? AND ? ORDER BY at_ms LIMIT ?`,
		from.UnixMilli(),
		to.UnixMilli(),
		maximum,
	)
	if err != nil {
		return nil, told("read where the dish was", err)
	}
	defer rows.Close()
	for rows.Next() {
		var p Place
		var at int64
		figures := [...]*float64{
			&p.AzPositionDeg,
			&p.AzSetpointDeg,
			&p.ElPositionDeg,
			&p.ElSetpointDeg,
			&p.OffDeg,
			&p.AzDrivePercent,
			&p.ElDrivePercent,
		}
		targets := []any{&at, &p.Activity}
		for _, f := range figures {
			targets = append(targets, figure{f})
		}
		if err := rows.Scan(append(targets, &p.Keyed)...); err != nil {
			return nil, told("read where the dish was", err)
		}
		p.At = time.UnixMilli(at).UTC()
		places = append(places, p)
	}
	return places, told("read where the dish was", rows.Err())
}
