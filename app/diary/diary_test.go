package diary

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

func plan() (*desk.Plan, desk.Station) {
	rise := time.Date(2027, 4, 14, 10, 54, 3, 250e6, time.UTC)
	p := &desk.Plan{Target: "Moon", Partner: "Quarry Ridge, \"upper\"", Passes: []desk.PlanPass{
		{Rise: rise, Set: rise.Add(16 * time.Hour), Highest: rise.Add(8 * time.Hour), HighestEl: unit.AngleFromDeg(54),
			Merit:  0.9,
			Shared: 10 * time.Hour, SharedFrom: rise.Add(5 * time.Hour), SharedTo: rise.Add(15 * time.Hour)},
		{Rise: rise.Add(25 * time.Hour), Set: rise.Add(40 * time.Hour), CutSet: true, Highest: rise.Add(33 * time.Hour),
			HighestEl: unit.AngleFromDeg(49)},
	}}
	return p, desk.Station{Name: "Cold Harbour Field", Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96)}
}

// Source: RFC 4180: lines end with CR LF, fields with commas or quotes are quoted.
func TestCSV(t *testing.T) {
	p, _ := plan()
	text := CSV(p)
	if lines := bytes.Count(text, []byte("\n")); lines != bytes.Count(text, []byte("\r\n")) || lines != 3 {
		t.Fatalf("line ends in %q", text)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if rows[1][1] != "2027-04-14T10:54:03Z" || rows[1][9] != p.Partner || rows[2][2] != "" {
		t.Errorf("rows %q", rows[1:])
	}
}

// Source: RFC 5545, 3.1 (CR LF, lines of at most 75 octets), 3.6 (PRODID, VERSION),
// 3.6.1 (UID, DTSTAMP), 3.6.6 (an alarm that displays has TRIGGER and DESCRIPTION).
func TestCalendar(t *testing.T) {
	p, station := plan()
	made := time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC)
	text := string(Calendar(p, station, made))
	lines := strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n")
	for _, line := range lines {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") || !utf8.ValidString(line) {
			t.Errorf("line %q", line)
		}
	}
	for words, count := range map[string]int{"BEGIN:VCALENDAR": 1, "VERSION:2.0": 1, "BEGIN:VEVENT": 2,
		"BEGIN:VALARM": 2, "TRIGGER:-PT30M": 2,
		"ACTION:DISPLAY": 2, "DTSTAMP:20270401T000000Z": 2, "DTSTART:20270414T105403Z": 1} {
		if got := strings.Count(text, words+"\r\n"); got != count {
			t.Errorf("%s stands %d times, want %d:\n%s", words, got, count, text)
		}
	}
	calendar, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil || len(calendar.Events()) != 2 {
		t.Fatalf("read again: %v", err)
	}
	// A minute later in the computation, an hour later in the writing: the same identifiers.
	for i := range p.Passes {
		p.Passes[i].Rise = p.Passes[i].Rise.Add(time.Minute)
	}
	later, err := ics.ParseCalendar(bytes.NewReader(Calendar(p, station, made.Add(time.Hour))))
	if err != nil {
		t.Fatal(err)
	}
	for i, event := range later.Events() {
		if event.Id() != calendar.Events()[i].Id() {
			t.Errorf("identifier %q became %q", calendar.Events()[i].Id(), event.Id())
		}
	}
	if calendar.Events()[0].Id() == calendar.Events()[1].Id() {
		t.Error("two passes have one identifier")
	}
}
