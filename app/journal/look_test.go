package journal

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// points writes a trend as offset:least/mean/most, in seconds from the beginning.
func points(t Trend) string {
	var out []string
	for _, p := range t.Points {
		out = append(out, fmt.Sprintf("%d:%g/%g/%g", int(p.At.Sub(began).Seconds()), p.Min,
			math.Round(1e6*p.Mean)/1e6, p.Max))
	}
	return strings.Join(out, " ")
}

func TestTrends(t *testing.T) {
	r, d := newRig(t), newDish()
	// The supply counts the seconds; nothing is recorded from 100 to 200; three hours and a bit.
	r.record(d, began, 100, func(i int) { d.supply = float64(i) })
	r.record(d, began.Add(200*time.Second), 10900, func(i int) { d.supply = float64(200 + i) })
	reader := r.reader()
	for _, row := range []struct {
		name     string
		from, to int // seconds
		columns  int
		step     time.Duration
		want     string
	}{
		{"a column a second", 10, 13, 3, time.Second, "10:10/10/10 11:11/11/11 12:12/12/12"},
		{"more columns than seconds", 10, 12, 500, time.Second, "10:10/10/10 11:11/11/11"},
		{"ten seconds a column", 80, 120, 4, 10 * time.Second, "80:80/84.5/89 90:90/94.5/99"},
		{"a gap stays one", 98, 203, 105, time.Second,
			"98:98/98/98 99:99/99/99 200:200/200/200 201:201/201/201 202:202/202/202"},
		{"minutes", 3600, 3840, 4, time.Minute,
			"3600:3600/3629.5/3659 3660:3660/3689.5/3719 3720:3720/3749.5/3779 3780:3780/3809.5/3839"},
		{"half a minute a column is made of minutes", 3600, 3720, 4, time.Minute,
			"3600:3600/3629.5/3659 3660:3660/3689.5/3719"},
		{"five minutes a column", 3600, 4200, 2, 5 * time.Minute, "3600:3600/3749.5/3899 3900:3900/4049.5/4199"},
		{"hours, the newest part from minutes and seconds; a gap in the first", 0, 14400, 4, time.Hour,
			"0:0/1846.642857/3599 3600:3600/5399.5/7199 7200:7200/8999.5/10799 10800:10800/10949.5/11099"},
		{"nothing there", -1000, -900, 10, 10 * time.Second, ""},
	} {
		trends, err := reader.Trends(context.Background(), []string{"drive_supply_v", "battery_v"},
			began.Add(time.Duration(row.from)*time.Second), began.Add(time.Duration(row.to)*time.Second), row.columns)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		if got := points(trends[0]); got != row.want || trends[0].Step != row.step {
			t.Errorf("%s: every %v %s, want every %v %s", row.name, trends[0].Step, got, row.step, row.want)
		}
		if len(trends[1].Points) != 0 {
			t.Errorf("%s: a reading that isn't fitted has points", row.name)
		}
	}
	for _, row := range []struct {
		key     string
		seconds int
		columns int
	}{{"drive_supply_v; DROP TABLE event", 10, 10}, {"other", 10, 10}, {"drive_supply_v", 10, 0},
		{"drive_supply_v", 0, 10}} {
		if _, err := reader.Trends(context.Background(), []string{row.key}, began,
			began.Add(time.Duration(row.seconds)*time.Second), row.columns); err == nil {
			t.Errorf("%+v was drawn", row)
		}
	}
	t.Run("how much was recorded", func(t *testing.T) { trendsTellHowMuchWasRecorded(t, reader) })
}

// How much of a time was recorded is told to the second, from hours as from seconds.
func trendsTellHowMuchWasRecorded(t *testing.T, reader *Reader) {
	for _, row := range []struct {
		from, to, columns int
		want              []int
	}{
		{98, 203, 21, []int{2, 3}},
		{0, 300, 5, []int{60, 40, 40, 60}},
		{0, 7200, 2, []int{3500, 3600}},
		{-86400, 11100, 1, []int{11000}},
	} {
		trends, err := reader.Trends(context.Background(), []string{"drive_supply_v"},
			began.Add(time.Duration(row.from)*time.Second), began.Add(time.Duration(row.to)*time.Second), row.columns)
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for _, p := range trends[0].Points {
			got = append(got, int(p.Recorded.Seconds()))
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("%d s to %d s: %v s, want %v", row.from, row.to, got, row.want)
		}
	}
}

// The mean of a wind that goes to and fro over north is north, from seconds, minutes and hours, and where two tables
// meet in a column.
func TestTrendOfADirection(t *testing.T) {
	r, d := newRig(t), newDish()
	r.record(d, began, 7200, func(i int) { d.wind = []float64{350, 20}[i/60%2] })
	for _, row := range []struct{ from, to, columns int }{{0, 120, 1}, {0, 3600, 4}, {0, 7200, 2}, {-86400, 7200, 1}} {
		trends, err := r.reader().Trends(context.Background(), []string{"wind_direction_deg"},
			began.Add(time.Duration(row.from)*time.Second), began.Add(time.Duration(row.to)*time.Second), row.columns)
		if err != nil || len(trends[0].Points) == 0 {
			t.Fatal(err, trends)
		}
		for _, p := range trends[0].Points {
			if off := math.Abs(math.Remainder(p.Mean-5, 360)); !(off < 3) || p.Mean < 0 || p.Mean >= 360 {
				t.Errorf("%+v: mean %.1f, want about 5", row, p.Mean)
			}
		}
	}
}

func TestAverage(t *testing.T) {
	for _, row := range []struct {
		circle bool
		values []float64 // each with twice the weight of the one before
		want   float64
	}{{false, []float64{350, 10}, 370.0 / 3}, {true, []float64{350, 350, 20}, 7.192}, {true, []float64{270, 270}, 270},
		{true, nil, math.NaN()}, {false, nil, math.NaN()}} {
		a, weight := Average{Circle: row.circle}, 1.0
		for _, v := range row.values {
			a.Add(v, weight)
			weight *= 2
		}
		if got := a.Mean(); math.Abs(got-row.want) > 0.01 || math.IsNaN(got) != math.IsNaN(row.want) {
			t.Errorf("%+v: %v", row, got)
		}
	}
}

func TestTrendWhereSecondsAreForgotten(t *testing.T) {
	r, d := newRig(t), newDish()
	r.record(d, began, 600, nil)
	if _, err := r.w.file.conn.ExecContext(context.Background(), "DELETE FROM reading_second WHERE at_s < ?",
		began.Unix()+300); err != nil {
		t.Fatal(err)
	}
	trends, err := r.reader().Trends(context.Background(), []string{"drive_supply_v"}, began, began.Add(10*time.Minute),
		600)
	if err != nil {
		t.Fatal(err)
	}
	if want := "0:24/24/24 60:24/24/24 120:24/24/24 180:24/24/24 240:24/24/24 300:24/24/24 360:24/24/24 420:24/24/24 " +
		"480:24/24/24 540:24/24/24"; points(trends[0]) != want {
		t.Errorf("got %s, want %s", points(trends[0]), want)
	}
}

func TestSpanAndPlaces(t *testing.T) {
	r, d := newRig(t), newDish()
	r.turn()
	if from, to, err := r.reader().Span(context.Background()); err != nil || !from.IsZero() || !to.IsZero() {
		t.Errorf("of an empty file: %v to %v, %v", from, to, err)
	}
	d.moving = true
	r.record(d, began, 100, func(i int) { d.azDeg = float64(i) })
	if from, to, err := r.reader().Span(context.Background()); err != nil || !from.Equal(began) ||
		to.Sub(from) != 99*time.Second {
		t.Errorf("%v to %v, %v", from, to, err)
	}
	places, err := r.reader().Places(context.Background(), began.Add(10*time.Second), began.Add(time.Hour), 5)
	if err != nil || len(places) != 5 {
		t.Fatalf("%d places, %v", len(places), err)
	}
	if p := places[1]; math.Abs(p.AzPositionDeg-11) > 1e-9 || math.Abs(p.AzSetpointDeg-12) > 1e-9 ||
		p.Activity != "slewing" ||
		!p.At.Equal(began.Add(11*time.Second)) {
		t.Errorf("%+v", p)
	}
}

func TestExport(t *testing.T) {
	r, d := newRig(t), newDish()
	r.record(d, began, 130, func(i int) { d.supply = 24 + float64(i%2)/8 })
	r.j.Event(desk.Event{Number: 1, At: began.Add(1500 * time.Millisecond), Grade: desk.Warning,
		Words: message.Of("text", `quoted "words", and`+"\n"+`a new line`)})
	r.j.Note(Note{At: began, AzDeg: 115.4, ElDeg: math.NaN(), DopplerHz: math.NaN(), NoiseDB: math.NaN(),
		Words: "heard"})
	r.turn()
	for _, row := range []struct {
		name   string
		export Export
		want   string
	}{
		{"seconds", Export{Table: "readings", Every: time.Second, Keys: []string{"drive_supply_v", "battery_v"},
			To: began.Add(time.Second)},
			"utc,drive_supply_v,battery_v\r\n2027-04-14T16:00:00Z,24,\r\n2027-04-14T16:00:01Z,24.125,\r\n"},
		{"minutes", Export{Table: "readings", Every: time.Minute, Keys: []string{"drive_supply_v"},
			From: began.Add(time.Second)},
			"utc,drive_supply_v_mean,drive_supply_v_min,drive_supply_v_max\r\n2027-04-14T16:01:00Z,24.0625,24," +
				"24.125\r\n"},
		// RFC 4180, 2.5 to 2.7: quotes around fields with quotes, commas and line breaks; quotes doubled.
		{"events", Export{Table: "events"},
			"utc,session,number,grade,words\r\n2027-04-14T16:00:01.500Z,1,1,2,\"quoted \"\"words\"\", and\r\na new " +
				"line\"\r\n"},
		{"notes", Export{Table: "notes"},
			"utc,azimuth_deg,elevation_deg,target,doppler_hz,noise_db,band,partner,operator," +
				"words\r\n2027-04-14T16:00:00.000Z,115.4,,,,,,,,heard\r\n"},
	} {
		var out bytes.Buffer
		if err := r.reader().Export(context.Background(), &out, row.export); err != nil || out.String() != row.want {
			t.Errorf("%s: %q, %v, want %q", row.name, out.String(), err, row.want)
		}
	}
	for _, table := range ExportTables() {
		e := Export{Table: table}
		if table == "readings" {
			e.Every = time.Hour
		}
		var out bytes.Buffer
		if err := r.reader().Export(context.Background(), &out, e); err != nil {
			t.Errorf("%s: %v", table, err)
		}
		if _, err := csv.NewReader(&out).ReadAll(); err != nil {
			t.Errorf("%s: %v", table, err)
		}
	}
	for _, wrong := range []Export{{Table: "session"}, {Table: "readings"},
		{Table: "readings", Every: time.Minute, Keys: []string{"at_s"}}, {Table: "events", Every: time.Minute}} {
		if err := r.reader().Export(context.Background(), io.Discard, wrong); err == nil {
			t.Errorf("%+v was exported", wrong)
		}
	}
}

// desktop is a desk that is told what happened.
type desktop struct {
	mu     sync.Mutex
	dish   *dish
	lock   desk.Lock
	events []desk.Event
}

func (d *desktop) Status() *desk.Status {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := d.dish.status()
	s.Lock = d.lock
	return s
}

func (d *desktop) EventsSince(number uint64, into []desk.Event) []desk.Event {
	d.mu.Lock()
	defer d.mu.Unlock()
	return append(into, d.events[number:]...)
}

func TestADeskIsFollowed(t *testing.T) {
	r, d := newRig(t), &desktop{dish: newDish()}
	trips := 0
	f := follower{journal: r.j, desk: d, tripRecord: func(w io.Writer) error {
		if trips++; trips > 1 {
			return errors.New("no minute is kept")
		}
		_, err := io.WriteString(w, "a minute of inputs")
		return err
	}}
	f.step()
	d.events = append(d.events, desk.Event{Number: 1, At: began, Words: message.Text("one")},
		desk.Event{Number: 2, At: began, Words: message.Text("two")})
	d.lock = desk.Lock{Locked: true, Cause: message.Text("Blocked"), Next: message.Text("Look.")}
	f.step()
	f.step()
	d.lock.Locked = false
	f.step()
	d.lock.Locked, d.lock.Stopped = true, true
	d.events = append(d.events, desk.Event{Number: 3, At: began, Words: message.Text("three")})
	f.step()
	r.turn()
	r.quiet()
	if n := r.one("SELECT count(*) FROM event WHERE number IN (1, 2, 3)"); n != 3 {
		t.Errorf("%v events, want 3", n)
	}
	if n := r.one("SELECT count(*) FROM trip WHERE cause = 'Blocked'"); n != 2 {
		t.Errorf("%v trips, want 2", n)
	}
	if n := r.one("SELECT count(*) FROM trip WHERE tripped"); n != 1 {
		t.Errorf("%v lock-outs that tripped, want the first alone", n)
	}
	if got, err := r.reader().TripRecord(context.Background(), 1); err != nil || string(got) != "a minute of inputs" {
		t.Errorf("%q, %v", got, err)
	}
	if n := r.one("SELECT count(*) FROM event WHERE words LIKE '%no minute is kept%'"); n != 1 {
		t.Errorf("%v events tell that the second record is missing, want 1", n)
	}
}

func TestRunWritesWhatWaitsAtTheEnd(t *testing.T) {
	r, d := newRig(t), newDish()
	ctx, end := context.WithCancel(context.Background())
	end()
	r.take(d, 5)
	r.j.Run(ctx)
	if n := r.one("SELECT count(*) FROM reading_second"); n != 5 {
		t.Errorf("%v seconds, want 5", n)
	}
	if n := r.one("SELECT closed FROM session"); n != 1 {
		t.Error("the session isn't closed")
	}
}
