package command

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"

	"beamhelm/app/contact"
	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

// recorded makes records of practice in a state folder of the test's own.
func recorded(t *testing.T) {
	t.Helper()
	t.Cleanup(xdg.Reload) // runs last, when the environment is as it was
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	xdg.Reload()
	store, err := kept.UsualStore(settings.Source{Practice: true})
	if err != nil {
		t.Fatal(err)
	}
	began := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	j, err := journal.New(journal.Config{Path: journal.PracticePath(store.Folder, began), Began: began})
	if err != nil {
		t.Fatal(err)
	}
	s := &desk.Status{At: began, Link: desk.Link{State: desk.LinkGood}}
	s.Readings[0] = desk.Reading{Fitted: true, Value: 24.5}
	j.Take(s)
	j.Event(desk.Event{Number: 1, At: began, Words: message.Text("Power on")})
	j.Trip(journal.Trip{At: began, Cause: "Blocked", Record: []byte("a minute")})
	j.Contact(contact.Contact{At: began, Call: "Quarry Ridge", MHz: 1296, Band: "1296 MHz", Mode: "CW",
		AzDeg: math.NaN()})
	ctx, end := context.WithCancel(context.Background())
	end()
	j.Run(ctx)
	if words := j.Trouble(); words != "" {
		t.Fatal(words)
	}
}

func TestRecords(t *testing.T) {
	recorded(t)
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	for _, row := range []struct {
		args           string
		status         int
		stdout, stderr string // parts
	}{
		{"-h", 0, "usage: beamhelm records", ""},
		{"", 2, "", "export, log, copy, trip, check or list?"},
		{"other", 2, "", `"other" is none of`},
		{"export", 2, "", "export takes one TABLE"},
		{"export -every day readings", 2, "", "second, minute or hour"},
		{"copy -every hour " + in("x"), 2, "", "-every"},
		{"trip one " + in("x"), 2, "", "no number of a trip"},
		{"export events", 0, ",1,0,Power on\r\n", ""},
		{"export -practice -every second -of drive_supply_v readings", 0,
			"utc,drive_supply_v\r\n2027-04-14T16:00:00Z,24.5\r\n", ""},
		{"export -from 2027-04-14T16:00:01Z -every second -of drive_supply_v readings", 0, "utc,drive_supply_v\r\n",
			""},
		{"log", 0, "<CALL:12>QUARRY RIDGE <BAND:4>23cm ", ""},
		{"log -from 2027-04-14T20:00:00Z", 0, "<EOH>\n", ""},
		{"export other", 1, "", "none of alarms, contacts, events"},
		{"export -of other readings", 1, "", `no series "other"`},
		{"export -out " + in("events.csv") + " events", 0, "", ""},
		{"export -out " + in("events.csv") + " events", 1, "", "exists"},
		{"check", 0, "nothing wrong: readings from 2027-04-14T16:00:00Z", ""},
		{"list", 0, "drive_supply_v               Drive supply  V\n", ""},
		{"copy " + in("copy.db"), 0, "", ""},
		{"copy " + in("copy.db"), 1, "", "exists already"},
		{"export -file " + in("copy.db") + " events", 0, "Power on", ""},
		{"trip 1 " + in("trip"), 0, "", ""},
		{"trip 2 " + in("none"), 1, "", "there is no trip 2"},
		{"check -settings /no/such.toml", 1, "", "open the records"},
		{"check -file " + in("trip"), 1, "", "open the records"},
	} {
		var stdout, stderr bytes.Buffer
		status := Records(strings.Fields(row.args), &stdout, &stderr)
		if status != row.status || !strings.Contains(stdout.String(), row.stdout) ||
			!strings.Contains(stderr.String(), row.stderr) {
			t.Errorf("records %s: %d, %q, %q, want %d, %q, %q", row.args, status, stdout.String(), stderr.String(),
				row.status, row.stdout, row.stderr)
		}
	}
	if text, err := os.ReadFile(in("trip")); err != nil || string(text) != "a minute" {
		t.Errorf("the trip: %q, %v", text, err)
	}
	if _, err := os.Stat(in("none")); err == nil {
		t.Error("a file was left for a trip that isn't there")
	}
}
