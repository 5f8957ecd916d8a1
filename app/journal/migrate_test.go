package journal

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// older makes a file of form 2, whose columns had other names, with a row in each table that has them.
func older(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), FileName)
	db, err := sql.Open("sqlite", nameOf(path, "rwc"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, statement := range append(versions()[:2],
		fmt.Sprintf("PRAGMA user_version = 2; PRAGMA application_id = %d", applicationID),
		`CREATE TABLE reading_second (at_s INTEGER PRIMARY KEY, azimuth_is_deg REAL, azimuth_want_deg REAL,
			elevation_is_deg REAL, elevation_want_deg REAL, off_deg REAL, echo_loss_db REAL, battery_v REAL)`,
		"INSERT INTO reading_second VALUES (1807718400, 1, 2, 3, 4, 5, 6, 7)",
		`CREATE TABLE reading_minute (at_s INTEGER PRIMARY KEY, seconds INTEGER NOT NULL,
			azimuth_is_deg_mean REAL, azimuth_is_deg_least REAL, azimuth_is_deg_most REAL)`,
		"INSERT INTO reading_minute VALUES (1807718400, 60, 10, 9, 11)",
		"CREATE TABLE reading_hour (at_s INTEGER PRIMARY KEY, seconds INTEGER NOT NULL)",
		"INSERT INTO motion VALUES (1807718400000, 'slewing', 1, 2, 30, 3, 4, 40, 5, 0)",
		"INSERT INTO trip VALUES (1, 1, 1807718400000, 'stopped by the operator', '', NULL), "+
			"(2, 1, 1807718401000, 'Link lost', '', NULL)",
		"INSERT INTO alarm VALUES (1, 1, 1, 1807718400000, 1807718401000, 1807718402000, 2, 'hot', 'cool it')",
	) {
		if _, err := db.Exec(statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	return path
}

// Columns that have another name now keep what is in them.
func TestOlderNamesOfColumns(t *testing.T) {
	path := older(t)
	for range 2 { // the second time nothing is left to be renamed
		f, aside, err := openFile(context.Background(), path)
		if err != nil || aside != "" {
			t.Fatal(err, aside)
		}
		f.close()
	}
	r, err := OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, c := range []struct {
		export Export
		want   string
	}{
		{Export{Table: readings, Every: time.Second, Keys: []string{"azimuth_position_deg", "azimuth_commanded_deg",
			"elevation_position_deg", "elevation_commanded_deg", "pointing_error_deg", "two_way_pointing_loss_db",
			"battery_v", "noise_db"}},
			"utc,azimuth_position_deg,azimuth_commanded_deg,elevation_position_deg,elevation_commanded_deg," +
				"pointing_error_deg,two_way_pointing_loss_db,battery_v,noise_db\n" +
				"2027-04-14T16:00:00Z,1,2,3,4,5,6,7,\n"},
		{Export{Table: readings, Every: time.Minute, Keys: []string{"azimuth_position_deg"}},
			"utc,azimuth_position_deg_mean,azimuth_position_deg_min,azimuth_position_deg_max\n" +
				"2027-04-14T16:00:00Z,10,9,11\n"},
		{Export{Table: motion}, "utc,activity,azimuth_position_deg,azimuth_commanded_deg,azimuth_drive_percent," +
			"elevation_position_deg,elevation_commanded_deg,elevation_drive_percent,pointing_error_deg,keyed\n" +
			"2027-04-14T16:00:00.000Z,slewing,1,2,30,3,4,40,5,0\n"},
		{Export{Table: "trips"}, "utc,session,id,tripped,cause,next\n" +
			"2027-04-14T16:00:00.000Z,1,1,0,stopped by the operator,\n2027-04-14T16:00:01.000Z,1,2,1,Link lost,\n"},
		{Export{Table: "alarms"}, "utc,session,number,acknowledged_utc,cleared_utc,grade,words,next\n" +
			"2027-04-14T16:00:00.000Z,1,1,2027-04-14T16:00:01.000Z,2027-04-14T16:00:02.000Z,2,hot,cool it\n"},
	} {
		var out bytes.Buffer
		if err := r.Export(context.Background(), &out, c.export); err != nil {
			t.Error(err)
		}
		if got := strings.ReplaceAll(out.String(), "\r", ""); got != c.want {
			t.Errorf("%s: %q, want %q", c.export.Table, got, c.want)
		}
	}
}

// A copy of an older form is left as it is: one line says what brings it to the present one.
func TestReaderOfAnOlderForm(t *testing.T) {
	r, err := OpenReader(older(t))
	if err == nil {
		r.Close()
	}
	if err == nil || !strings.Contains(err.Error(), "of form 2, made by an older Beamhelm") {
		t.Errorf("%v", err)
	}
}
