package export

import (
	"encoding/csv"
	"strings"
	"testing"
	"time"

	"beamhelm/ephem/passes"

	ics "github.com/arran4/golang-ical"
	"github.com/soniakeys/unit"
)

var list = []passes.Pass{
	{
		Rise: time.Date(2027, 4, 14, 10, 1, 2, 345e6, time.UTC), Set: time.Date(2027, 4, 15, 3, 4, 5, 0, time.UTC),
		RiseAz: unit.AngleFromDeg(48.123), SetAz: unit.AngleFromDeg(311.9), Highest: time.Date(2027, 4, 14, 18, 20, 0, 0, time.UTC), HighestEl: unit.AngleFromDeg(55.5),
	},
	{
		Rise: time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC), Set: time.Date(2027, 4, 16, 0, 0, 0, 0, time.UTC), CutSet: true,
		Highest: time.Date(2027, 4, 15, 19, 10, 0, 0, time.UTC), HighestEl: unit.AngleFromDeg(50),
	},
}

func TestCSV(t *testing.T) {
	text := string(CSV(list))
	if strings.Count(text, "\r\n") != 3 || strings.Count(text, "\n") != 3 {
		t.Errorf("lines don't end with CR LF: %q", text)
	}
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%v\n%s", err, text)
	}
	if got := strings.Join(rows[1], "|"); got != "2027-04-14T10:01:02.3Z|2027-04-15T03:04:05.0Z|2027-04-14T18:20:00.0Z|55.50|48.12|311.90" {
		t.Errorf("row %s", got)
	}
	if rows[2][1] != "" {
		t.Errorf("a cut pass sets at %s", rows[2][1])
	}
}

func TestCalendar(t *testing.T) {
	about := About{
		Target: "Moon", Station: "Cold Harbour Field; the upper, wet one with a name so long that its line must be folded",
		Partners: []string{"Ärmelhof"}, Warning: 20 * time.Minute, Made: time.Date(2027, 4, 1, 12, 0, 0, 0, time.UTC),
	}
	text := string(Calendar(list, about))
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("a line of %d bytes: %q", len(line), line)
		}
	}
	for _, wanted := range []string{
		"BEGIN:VCALENDAR\r\n", "VERSION:2.0\r\n", "PRODID:", "DTSTAMP:20270401T120000Z\r\n", "DTSTART:20270414T100102Z\r\n", "DTEND:20270415T030405Z\r\n",
		"BEGIN:VALARM\r\n", "TRIGGER:-PT20M\r\n", "ACTION:DISPLAY\r\n", `Field\; the upper\, wet`,
	} {
		if !strings.Contains(strings.ReplaceAll(text, "\r\n ", ""), wanted) {
			t.Errorf("no %q in\n%s", wanted, text)
		}
	}
	parsed, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil || len(parsed.Events()) != 2 {
		t.Fatalf("%d events, %v", len(parsed.Events()), err)
	}
	// The same pass a little shifted keeps its UID; another has another.
	shifted := []passes.Pass{list[0]}
	shifted[0].Highest = shifted[0].Highest.Add(40 * time.Second)
	again, _ := ics.ParseCalendar(strings.NewReader(string(Calendar(shifted, about))))
	first, second := parsed.Events()[0].Id(), parsed.Events()[1].Id()
	if again.Events()[0].Id() != first || first == second || strings.ContainsAny(first, " ;,ä") {
		t.Errorf("UIDs %q, %q, again %q", first, second, again.Events()[0].Id())
	}
	about.Warning = 0
	if strings.Contains(string(Calendar(list, about)), "VALARM") {
		t.Error("an alarm that wasn't asked for")
	}
}
