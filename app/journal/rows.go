package journal

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"math"
	"reflect"
	"time"

	"beamhelm/app/desk"
)

// entry is something that waits to be written.
type entry interface {
	put(*batch) error
}

// number is a figure as a column takes it: nothing where there is none.
func number(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

type readingRow struct {
	second int64
	values []float64
}

func (r readingRow) put(b *batch) error {
	args := make([]any, 0, 1+len(r.values))
	args = append(args, r.second)
	for _, v := range r.values {
		args = append(args, number(v))
	}
	b.seconds = append(b.seconds, r.second)
	// After the clock went back, the newer row of the same second counts.
	return b.run(b.putReading, args...)
}

type placeRow struct {
	at                                   time.Time
	activity                             string
	azPosition, azSetpoint, azDrive      float64
	elPosition, elSetpoint, elDrive, off float64
	keyed                                bool
}

func placeOf(s *desk.Status) placeRow {
	az, el := &s.Axes[0], &s.Axes[1]
	return placeRow{
		s.At, ActivityWords(s.Activity), trusted(az, az.Position), setpoint(az), 100 * az.Applied,
		trusted(el, el.Position), setpoint(el), 100 * el.Applied, moving(s, s.Off.Deg()), s.Transmit.Keyed,
	}
}

// ActivityWords names an activity in the records, and for other programs.
func ActivityWords(a desk.Activity) string {
	words := [...]string{
		desk.Idle: "idle", desk.Holding: "holding", desk.Jogging: "jogging", desk.Slewing: "slewing",
		desk.Tracking: "tracking", desk.Waiting: "waiting", desk.Parking: "parking", desk.Parked: "parked",
		desk.Stowing: "stowing", desk.Stowed: "stowed", desk.LockedOut: "locked out",
	}
	if int(a) < len(words) {
		return words[a]
	}
	return fmt.Sprintf("activity %d", a)
}

func (r placeRow) put(b *batch) error {
	return b.run(`INSERT OR REPLACE INTO motion VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		r.at.UnixMilli(), r.activity, number(r.azPosition), number(r.azSetpoint), number(r.azDrive),
		number(r.elPosition), number(r.elSetpoint), number(r.elDrive), number(r.off), r.keyed)
}

type eventRow struct{ desk.Event }

func (r eventRow) put(b *batch) error {
	return b.run(`INSERT OR IGNORE INTO event (session, number, at_ms, grade, words) VALUES (?, ?, ?, ?, ?)`,
		b.session, int64(r.Number), r.At.UnixMilli(), r.Grade, r.Words.String())
}

// gapRow tells, among the events, that something was not recorded.
type gapRow struct {
	at    time.Time
	words string
}

func (r gapRow) put(b *batch) error {
	return b.run(`INSERT INTO event (session, number, at_ms, grade, words) VALUES (?, NULL, ?, ?, ?)`,
		b.session, r.at.UnixMilli(), desk.Warning, r.words)
}

// alarmRow is an alarm as it was last recorded.
type alarmRow struct {
	desk.Alarm
	acknowledged, cleared time.Time
}

// changedAlarms returns what of the alarms changed since known, and brings
// known up to date. An alarm that has left the list is acknowledged and cleared.
func changedAlarms(known map[int]alarmRow, s *desk.Status) (changed []entry) {
	listed := map[int]bool{}
	for _, a := range s.Alarms {
		listed[a.Number] = true
		row, was := known[a.Number]
		before := row
		row.Alarm = a
		row.mark(s.At)
		if !was || !reflect.DeepEqual(before, row) {
			known[a.Number] = row
			changed = append(changed, row)
		}
	}
	for number, row := range known {
		if listed[number] {
			continue
		}
		delete(known, number)
		row.Acknowledged, row.Stands = true, false
		row.mark(s.At)
		changed = append(changed, row)
	}
	return changed
}

// mark keeps the moments at which an alarm was first found acknowledged, and cleared. One
// that comes back or becomes worse loses them.
func (r *alarmRow) mark(now time.Time) {
	set := func(at *time.Time, yes bool) {
		if !yes {
			*at = time.Time{}
		} else if at.IsZero() {
			*at = now
		}
	}
	set(&r.acknowledged, r.Acknowledged)
	set(&r.cleared, !r.Stands)
}

func (r alarmRow) put(b *batch) error {
	return b.run(`INSERT INTO alarm (session, number, at_ms, acknowledged_ms, cleared_ms, grade, words, next)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (session, number) DO UPDATE SET
		acknowledged_ms = excluded.acknowledged_ms, cleared_ms = excluded.cleared_ms, grade = excluded.grade,
		words = excluded.words, next = excluded.next`,
		b.session, r.Number, r.Since.UnixMilli(), moment(r.acknowledged), moment(r.cleared), r.Grade, r.Words.String(),
		r.Next.String())
}

func moment(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t.UnixMilli()
}

type tripRow struct{ Trip }

func (r tripRow) put(b *batch) error {
	var record any
	if len(r.Record) > 0 {
		record = packed(r.Record)
	}
	return b.run(`INSERT INTO trip (session, at_ms, tripped, cause, next, record) VALUES (?, ?, ?, ?, ?, ?)`,
		b.session, r.At.UnixMilli(), !r.Stopped, r.Cause, r.Next, record)
}

// packed compresses what repeats itself a lot.
func packed(plain []byte) []byte {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	z.Write(plain) // into memory: neither can fail
	z.Close()
	return out.Bytes()
}

type noteRow struct{ Note }

func (r noteRow) put(b *batch) error {
	return b.run(`INSERT INTO note (session, at_ms, azimuth_deg, elevation_deg, target, doppler_hz, noise_db, band, partner, operator, words)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		b.session, r.At.UnixMilli(), number(r.AzDeg), number(r.ElDeg), r.Target, number(r.DopplerHz), number(r.NoiseDB),
		r.Band, r.Partner, r.Operator, r.Words)
}

type resultRow struct{ Result }

func (r resultRow) put(b *batch) error {
	var detail any
	if len(r.Detail) > 0 {
		detail = string(r.Detail)
	}
	return b.run(`INSERT INTO result (session, at_ms, kind, words, detail) VALUES (?, ?, ?, ?, ?)`,
		b.session, r.At.UnixMilli(), string(r.Kind), r.Words, detail)
}

type settingsRow struct {
	at          time.Time
	words, text string
}

func (r settingsRow) put(b *batch) error {
	return b.run(`INSERT INTO setting (session, at_ms, words, text) SELECT ?, ?, ?, ?
		WHERE ? IS NOT (SELECT text FROM setting ORDER BY id DESC LIMIT 1)`,
		b.session, r.at.UnixMilli(), r.words, r.text, r.text)
}
