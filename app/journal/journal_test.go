package journal

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
)

var began = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)

// dish makes statuses of an invented dish, whose supply follows what is set.
type dish struct {
	number uint64
	at     time.Time
	supply float64
	wind   float64
	moving bool
	azDeg  float64
	link   desk.LinkState
	alarms []desk.Alarm
}

func newDish() *dish { return &dish{at: began, supply: 24, wind: 355, link: desk.LinkGood} }

func (d *dish) status() *desk.Status {
	d.number++
	s := &desk.Status{Number: d.number, At: d.at, Moving: d.moving, Activity: desk.Slewing, Alarms: d.alarms}
	s.Link.State = d.link
	for i := range s.Axes {
		s.Axes[i] = desk.Axis{Fitted: true, Trusted: true, Position: unit.AngleFromDeg(d.azDeg), HasSetpoint: true,
			Setpoint: unit.AngleFromDeg(d.azDeg + 1), CurrentA: math.NaN()}
	}
	s.Readings[enclosure.DriveSupply] = desk.Reading{Fitted: true, Value: d.supply}
	s.Readings[enclosure.WindDirection] = desk.Reading{Fitted: true, Value: d.wind}
	return s
}

// rig is a journal with its writer, stepped by hand.
type rig struct {
	*testing.T
	j    *Journal
	w    *writer
	path string
	now  time.Time // the machine's, for the writer
}

func newRig(t *testing.T) *rig {
	t.Helper()
	return openRig(t, filepath.Join(t.TempDir(), "state", FileName))
}

func openRig(t *testing.T, path string) *rig {
	t.Helper()
	j, err := New(Config{Path: path, Station: "Cold Harbour Field", Version: "0.0.0", Practice: true, Began: began})
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{T: t, j: j, w: newWriter(j), path: path, now: time.Unix(1e9, 0)}
	t.Cleanup(func() {
		if r.w.file != nil {
			r.w.file.close()
		}
	})
	return r
}

// turn lets the writer work as after a while.
func (r *rig) turn() {
	r.now = r.now.Add(3 * time.Second)
	r.w.step(r.now)
}

func (r *rig) reader() *Reader {
	r.Helper()
	reader, err := OpenReader(r.path)
	if err != nil {
		r.Fatal(err)
	}
	r.Cleanup(func() { reader.Close() })
	return reader
}

// one returns the only figure of a query.
func (r *rig) one(query string, args ...any) (n float64) {
	r.Helper()
	if err := r.reader().db.QueryRow(query, args...).Scan(&n); err != nil {
		r.Fatalf("%s: %v", query, err)
	}
	return n
}

func (r *rig) quiet() {
	r.Helper()
	if words := r.j.Trouble(); words != "" {
		r.Fatalf("trouble: %s", words)
	}
}

func TestReadingsOncePerSecondAndPlacesWhileMoving(t *testing.T) {
	r, d := newRig(t), newDish()
	for i := range 100 { // ten seconds, ten statuses each; moving in the third to the fifth
		d.at = began.Add(time.Duration(i) * 100 * time.Millisecond)
		d.moving = i >= 20 && i < 50
		d.supply = 24 + float64(i/10)
		r.j.Take(d.status())
	}
	r.turn()
	r.quiet()
	for _, row := range []struct {
		query string
		want  float64
	}{
		{"SELECT count(*) FROM reading_second", 10},
		{"SELECT drive_supply_v FROM reading_second WHERE at_s = 1807718403", 27},
		{"SELECT count(*) FROM reading_second WHERE drive_supply_v IS NULL", 0},
		{"SELECT count(*) FROM reading_second WHERE battery_v IS NOT NULL", 0}, // not fitted
		{"SELECT count(*) FROM reading_second WHERE azimuth_current_a IS NOT NULL", 0},
		{"SELECT count(*) FROM motion", 25}, // 3 s of motion and 2 s after it, 5 a second
		{"SELECT sum(azimuth_commanded_deg - azimuth_position_deg) FROM motion", 25},
		{"SELECT count(*) FROM session WHERE station = 'Cold Harbour Field' AND practice", 1},
	} {
		if got := r.one(row.query); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s gave %v, want %v", row.query, got, row.want)
		}
	}
}

func TestALostLinkLeavesNoReadings(t *testing.T) {
	r, d := newRig(t), newDish()
	d.link = desk.LinkLost
	r.j.Take(d.status())
	r.turn()
	if n := r.one("SELECT count(drive_supply_v) + count(azimuth_position_deg) FROM reading_second"); n != 0 {
		t.Errorf("%v old figures were recorded as new ones", n)
	}
}

func TestWordsComeBack(t *testing.T) {
	r := newRig(t)
	record := bytes.Repeat([]byte("inputs of a step "), 5000)
	r.j.Event(desk.Event{Number: 1, At: began, Grade: desk.Notice, Words: message.Text("Power on")})
	r.j.Event(desk.Event{Number: 2, At: began.Add(time.Second), Grade: desk.AlarmGrade,
		Words: message.Text("Link lost, 100 % of it")})
	r.j.Trip(Trip{At: began.Add(2 * time.Second), Cause: "Link lost", Next: "Look at the cable.", Record: record})
	for i, code := range []message.Code{"lock.stopped", "lock.kept"} { // neither is a trip
		r.j.Trip(Trip{At: began.Add(time.Duration(i-9) * time.Second), Stopped: true, Cause: message.Of(code).String()})
	}
	note := Note{At: began.Add(3 * time.Second), AzDeg: 115.4, ElDeg: 40.1, Target: "Moon", DopplerHz: math.NaN(),
		NoiseDB: 0.5, Band: "1296 MHz", Partner: "somebody", Operator: "me", Words: "heard; \"loud\",\nthen gone"}
	r.j.Note(note)
	r.j.Result(Result{At: began.Add(4 * time.Second), Kind: PeakResult, Words: "trim +0.10",
		Detail: []byte(`{"gain_db":0.3}`)})
	r.j.Settings(began, "at the start", "version = 1\n")
	r.j.Settings(began.Add(5*time.Second), "at the start", "version = 1\n") // nothing new
	r.j.Settings(began.Add(6*time.Second), "park changed", "version = 1\npark = 2\n")
	r.turn()
	r.quiet()
	reader, ctx := r.reader(), context.Background()
	rows := []struct {
		name   string
		filter Filter
		want   string
	}{
		{"all, newest first", Filter{}, "setting park changed|result peak: trim +0.10|note heard; \"loud\",\nthen " +
			"gone somebody me 1296 MHz Moon|trip Link lost|event Link lost, 100 % of it|event Power on|setting at " +
			"the start|lock-out since the last session|lock-out stopped by the operator"},
		{"trips", Filter{Kinds: []What{WhatTrip}}, "trip Link lost"},
		{"one kind", Filter{Kinds: []What{WhatEvent}}, "event Link lost, 100 % of it|event Power on"},
		{"no kind that exists", Filter{Kinds: []What{"other"}}, ""},
		{"bad ones", Filter{MinGrade: desk.Warning}, "trip Link lost|event Link lost, 100 % of it"},
		{"a span", Filter{From: began.Add(time.Second), To: began.Add(2 * time.Second)},
			"trip Link lost|event Link lost, 100 % of it"},
		{"words in any order", Filter{Words: "lost LINK"}, "trip Link lost|event Link lost, 100 % of it"},
		{"a percent sign is one", Filter{Words: "%"}, "event Link lost, 100 % of it"},
		{"the newest two", Filter{Max: 2}, "setting park changed|result peak: trim +0.10"},
	}
	for _, row := range rows {
		got, err := reader.Entries(ctx, row.filter)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		var words []string
		for _, h := range got {
			words = append(words, string(h.What)+" "+h.Words)
		}
		if all := strings.Join(words, "|"); all != row.want {
			t.Errorf("%s:\n%s\nwant\n%s", row.name, all, row.want)
		}
	}
	if got, err := reader.TripRecord(ctx, 1); err != nil || !bytes.Equal(got, record) {
		t.Errorf("trip record: %d bytes, %v", len(got), err)
	}
	if _, err := reader.TripRecord(ctx, 4); err == nil {
		t.Error("a trip that isn't there was read")
	}
	notes, err := reader.Notes(ctx, began, began.Add(time.Hour))
	same := cmp.Comparer(func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) })
	if diff := cmp.Diff([]Note{note}, notes, same); err != nil || diff != "" {
		t.Errorf("%v, %s", err, diff)
	}
}

func TestAlarmsAreFollowed(t *testing.T) {
	r, d := newRig(t), newDish()
	history := func() string {
		r.turn()
		rows, err := r.reader().db.Query(
			`SELECT number, (acknowledged_ms - at_ms) / 1000, (cleared_ms - at_ms) / 1000, grade
			FROM alarm ORDER BY number`)
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		var all []string
		for rows.Next() {
			var number, grade int
			seen, over := math.NaN(), math.NaN()
			if err := rows.Scan(&number, figure{&seen}, figure{&over}, &grade); err != nil {
				t.Fatal(err)
			}
			all = append(all, fmt.Sprintf("%d seen %v over %v grade %d", number, seen, over, grade))
		}
		return strings.Join(all, "; ")
	}
	a := desk.Alarm{Number: 1, Grade: desk.Warning, Words: message.Text("Drive supply low"), Since: began, Stands: true}
	b := desk.Alarm{Number: 2, Grade: desk.AlarmGrade, Words: message.Text("Link lost"),
		Since:  began.Add(2 * time.Second),
		Stands: true}
	steps := []struct {
		alarms func() []desk.Alarm
		want   string
	}{
		{func() []desk.Alarm { return []desk.Alarm{a} }, "1 seen NaN over NaN grade 2"},
		{func() []desk.Alarm { a.Acknowledged = true; return []desk.Alarm{a} }, "1 seen 1 over NaN grade 2"},
		{func() []desk.Alarm { return []desk.Alarm{b, a} }, "1 seen 1 over NaN grade 2; 2 seen NaN over NaN grade 3"},
		{func() []desk.Alarm { b.Stands = false; return []desk.Alarm{b} },
			"1 seen 1 over 3 grade 2; 2 seen NaN over 1 grade 3"},
		{func() []desk.Alarm { b.Stands = true; return []desk.Alarm{b} },
			"1 seen 1 over 3 grade 2; 2 seen NaN over NaN grade 3"},
		{func() []desk.Alarm { return nil }, "1 seen 1 over 3 grade 2; 2 seen 3 over 3 grade 3"},
	}
	for i, step := range steps {
		d.at, d.alarms = began.Add(time.Duration(i)*time.Second), step.alarms()
		r.j.Take(d.status())
		if got := history(); got != step.want {
			t.Errorf("step %d: %s, want %s", i, got, step.want)
		}
	}
}

// record puts steady readings of a time into the file, a status a second.
func (r *rig) record(d *dish, from time.Time, seconds int, each func(i int)) {
	r.Helper()
	for i := range seconds {
		d.at = from.Add(time.Duration(i) * time.Second)
		if each != nil {
			each(i)
		}
		r.j.Take(d.status())
		if i%1000 == 999 {
			r.turn()
		}
	}
	for range 10 {
		r.turn()
	}
	r.quiet()
}

func TestMinutesAndHours(t *testing.T) {
	r, d := newRig(t), newDish()
	// Two hours and a bit: the supply is the minute's number, but 100 V for one second; the wind turns about north.
	r.record(d, began, 7300, func(i int) {
		d.supply = float64(i / 60)
		if i == 30 {
			d.supply = 100
		}
		d.wind = []float64{350, 10}[i%2]
	})
	for _, row := range []struct {
		query string
		want  float64
	}{
		{"SELECT count(*) FROM reading_minute", 121},
		{"SELECT count(*) FROM reading_hour", 2},
		{"SELECT drive_supply_v_mean FROM reading_minute WHERE at_s = 1807718400", 100. / 60},
		{"SELECT drive_supply_v_max FROM reading_minute WHERE at_s = 1807718400", 100},
		{"SELECT drive_supply_v_min FROM reading_minute WHERE at_s = 1807718400", 0},
		{"SELECT drive_supply_v_mean FROM reading_hour WHERE at_s = 1807718400", (59.*30)/60 + 100./3600},
		{"SELECT drive_supply_v_max FROM reading_hour WHERE at_s = 1807718400", 100},
		{"SELECT drive_supply_v_mean FROM reading_hour WHERE at_s = 1807722000", 89.5},
		{"SELECT seconds FROM reading_hour WHERE at_s = 1807722000", 3600},
		// A mean over the circle is between 350 and 10, not 180.
		{"SELECT mod(wind_direction_deg_mean + 180, 360) FROM reading_hour WHERE at_s = 1807722000", 180},
		{"SELECT count(battery_v_mean) FROM reading_hour", 0},
	} {
		if got := r.one(row.query); math.Abs(got-row.want) > 1e-6 {
			t.Errorf("%s gave %v, want %v", row.query, got, row.want)
		}
	}
}

func TestWhatACrashLeftIsCondensedLater(t *testing.T) {
	r, d := newRig(t), newDish()
	r.record(d, began, 100, nil)
	if _, err := r.w.file.conn.ExecContext(context.Background(), "DELETE FROM reading_minute"); err != nil {
		t.Fatal(err)
	}
	r.w.file.close()
	r.w.file = nil
	again := openRig(t, r.path)
	again.record(d, began.Add(3*time.Hour), 1, nil)
	if n := again.one("SELECT sum(seconds) FROM reading_minute"); n != 100 {
		t.Errorf("minutes of %v seconds, want 100", n)
	}
	if n := again.one("SELECT sum(seconds) FROM reading_hour"); n != 100 {
		t.Errorf("hours of %v seconds, want 100", n)
	}
}

func TestSecondsAreKeptForAWeek(t *testing.T) {
	r, d := newRig(t), newDish()
	d.moving = true
	r.record(d, began, 300, nil)
	r.w.close()
	r = openRig(t, r.path)
	r.record(d, began.Add(keptSeconds*time.Second+100*time.Second), 60, nil)
	r.turn() // a piece each ten seconds
	for range 5 {
		r.turn()
	}
	for _, row := range []struct {
		query string
		want  float64
	}{
		{"SELECT min(at_s) - 1807718400 FROM reading_second", 159}, // a week before the newest
		{"SELECT min(at_ms) / 1000 - 1807718400 FROM motion", 159},
		{"SELECT count(*) FROM reading_minute WHERE seconds = 60", 5},
	} {
		if got := r.one(row.query); got != row.want {
			t.Errorf("%s gave %v, want %v", row.query, got, row.want)
		}
	}
}

// A clock that is set on by a century in a session makes nothing a week old.
func TestAClockThatIsSetForgetsNothing(t *testing.T) {
	r, d := newRig(t), newDish()
	d.moving = true
	r.record(d, began, 300, nil)
	before := r.one("SELECT count(*) FROM motion")
	r.record(d, began.AddDate(100, 0, 0), 120, nil)
	for range 20 {
		r.turn()
	}
	r.record(d, began.Add(1000*time.Second), 60, nil)
	if n := r.one("SELECT count(*) FROM reading_second WHERE at_s < 1807718400 + 300"); n != 300 {
		t.Errorf("%v of 300 seconds are left", n)
	}
	if n := r.one("SELECT count(*) FROM motion WHERE at_ms < 1000.0 * (1807718400 + 900)"); n < before {
		t.Errorf("%v of %v places are left", n, before)
	}
}

func TestCopyAndCheck(t *testing.T) {
	r, d := newRig(t), newDish()
	r.record(d, began, 50, nil)
	path := filepath.Join(t.TempDir(), "copy.db")
	// The writer's connection stays open: the copy is made while it could write.
	if err := r.reader().Copy(context.Background(), path); err != nil {
		t.Fatal(err)
	}
	if err := r.reader().Copy(context.Background(), path); err == nil {
		t.Error("a file that exists was replaced")
	}
	c, err := OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if faults, err := c.Check(context.Background()); err != nil || len(faults) > 0 {
		t.Errorf("the copy: %v, %v", faults, err)
	}
	var n int
	if err := c.db.QueryRow("SELECT count(*) FROM reading_second").Scan(&n); err != nil || n != 50 {
		t.Errorf("%d rows, %v", n, err)
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 1 {
		t.Errorf("%d files beside the copy", len(left)-1)
	}
}
