package command

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"beamhelm/assets"
)

func runPlace(args []string, stdin string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Place(args, strings.NewReader(stdin), &out, &wrong, assets.Ephemeris())
	return status, out.String(), wrong.String()
}

// table reads CSV into rows by column name.
func table(t *testing.T, text string) []map[string]string {
	t.Helper()
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(lines) == 0 {
		t.Fatalf("not a CSV table: %v\n%s", err, text)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func near(t *testing.T, what, got string, want, tolerance float64) {
	t.Helper()
	x, err := strconv.ParseFloat(got, 64)
	if err != nil || math.Abs(x-want) > tolerance {
		t.Errorf("%s is %q, want %v within %v", what, got, want, tolerance)
	}
}

const placeHeader = "target,utc,az_deg,el_deg,distance_km,range_rate_mps,ra_deg,dec_deg,note," +
	"place_within_deg,distance_within_km"

var firstPlace = strings.Fields("-target Moon -lat -43.9 -lon 170.4 -height 320 -at 2024-01-05T21:16:33Z -airless")

// Source: the first line of ephem/testdata/moon_sun_places.csv (JPL DE431, ERFA 2006/2000A).
func TestPlace(t *testing.T) {
	status, out, wrong := runPlace(append(firstPlace, "-csv"), "")
	if status != 0 || wrong != "" || !strings.HasPrefix(out, placeHeader+"\n") {
		t.Fatalf("status %d, stderr %q, stdout\n%s", status, wrong, out)
	}
	row := table(t, out)[0]
	near(t, "azimuth", row["az_deg"], 319.860836, 1e-5)
	near(t, "elevation", row["el_deg"], 53.901792, 1e-5)
	near(t, "distance", row["distance_km"], 388727.7255, 0.01)
	near(t, "range rate", row["range_rate_mps"], 62.7314, 0.001)
	near(t, "right ascension", row["ra_deg"], 211.499465, 1e-5)
	near(t, "declination", row["dec_deg"], -13.634714, 1e-5)
	if row["target"] != "Moon" || row["utc"] != "2024-01-05T21:16:33Z" || row["note"] != "" {
		t.Errorf("row %v", row)
	}
	for name, x := range row {
		if _, decimals, _ := strings.Cut(x, "."); strings.Contains(name, "_") && len(decimals) != 6 {
			t.Errorf("%s %s has not 6 decimals", name, x)
		}
	}
}

func TestPlaceForms(t *testing.T) {
	args := append(firstPlace, "-step", "90s", "-count", "3")
	_, text, _ := runPlace(args, "")
	if lines := strings.Split(strings.TrimSpace(text), "\n"); len(lines) != 4 ||
		!strings.Contains(lines[3], "2024-01-05T21:19:33Z") {
		t.Errorf("text:\n%s", text)
	}
	_, text, _ = runPlace(append(args, "-json"), "")
	var objects []struct {
		Target string  `json:"target"`
		UTC    string  `json:"utc"`
		Az     float64 `json:"az_deg"`
		Rate   float64 `json:"range_rate_mps"`
	}
	if err := json.Unmarshal([]byte(text), &objects); err != nil || len(objects) != 3 ||
		objects[2].UTC != "2024-01-05T21:19:33Z" || math.Abs(objects[0].Az-319.860836) > 1e-5 {
		t.Errorf("%v in\n%s", err, text)
	}
}

func TestPlaceThroughAir(t *testing.T) {
	at := strings.Fields("-target TauA -lat 51.4 -lon 7.1 -height 120 -at 2026-12-01T17:00:00.25Z -csv")
	_, airless, _ := runPlace(append(at, "-airless"), "")
	_, seen, _ := runPlace(at, "")
	low, _ := strconv.ParseFloat(table(t, airless)[0]["el_deg"], 64)
	high, _ := strconv.ParseFloat(table(t, seen)[0]["el_deg"], 64)
	// A ray traced through 315 units of refractivity is raised by 0.1808 degree at
	// an airless 5 degrees (computed); here are 305.4 units at 4.7 degrees.
	if math.Abs(low-4.72) > 0.01 || math.Abs(high-low-0.183) > 0.003 {
		t.Errorf("airless %v, seen at %v", low, high)
	}
	if got := table(t, seen)[0]; got["utc"] != "2026-12-01T17:00:00.25Z" || got["target"] != "TauA" ||
		got["note"] != "" {
		t.Errorf("row %v", got)
	}
}

func TestPlaceOutsideTheSpan(t *testing.T) {
	status, out, wrong :=
		runPlace(strings.Fields("-target Sun -lat 0 -lon 0 -height 0 -at 2061-01-01T00:00:00+01:00 -csv"), "")
	row := table(t, out)[0]
	if status != 0 || row["note"] != "truncated series; leap seconds not known" ||
		row["utc"] != "2060-12-31T23:00:00Z" {
		t.Errorf("status %d, row %v", status, row)
	}
	if strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, "2060-01-29") {
		t.Errorf("stderr %q", wrong)
	}
}

func TestPlaceUsage(t *testing.T) {
	base := map[string]string{"target": "Moon", "lat": "55", "lon": "-3", "height": "190", "at": "2027-04-14T16:00:00Z"}
	rows := []struct{ name, flag, value, says string }{
		{"latitude 95", "lat", "95", "latitude 95"},
		{"NaN", "lat", "NaN", "not a number"},
		{"infinite", "height", "+Inf", "not a number"},
		{"hexadecimal", "lon", "0x1p3", "not a number"},
		{"longitude 181", "lon", "181", "longitude 181"},
		{"height", "height", "1e6", "height"},
		{"no zone", "at", "2027-04-14T16:00:00", "RFC 3339"},
		{"space", "at", "2027-04-14 16:00:00Z", "RFC 3339"},
		{"31 April", "at", "2027-04-31T16:00:00Z", "RFC 3339"},
		{"hour of one figure", "at", "2027-04-14T6:00:00Z", "RFC 3339"},
		{"comma in the seconds", "at", "2027-04-14T16:00:00,5Z", "RFC 3339"},
		{"year 0001", "at", "0001-04-14T16:00:00Z", "years"},
		{"no such target", "target", "Mars", "Cas A"},
		{"right ascension", "target", "361,5", "right ascension"},
		{"declination", "target", "10,-91", "declination"},
		{"declination NaN", "target", "10,NaN", "declination"},
		{"missing", "height", "", "-height is missing"},
		{"step", "step", "-5s", "-step"},
		{"step without unit", "step", "5", "step"},
		{"count without step", "count", "3", "-step"},
		{"count of none", "count", "0", "-count"},
		{"unknown flag", "colour", "blue", "colour"},
		{"with batch", "batch", "x", "doesn't go with -batch"},
	}
	for _, row := range rows {
		args := []string{}
		for name, value := range base {
			if name != row.flag {
				args = append(args, "-"+name, value)
			}
		}
		if row.value != "" {
			args = append(args, "-"+row.flag, row.value)
		}
		status, out, wrong := runPlace(args, "")
		if status != 2 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, row.says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", row.name, status, out, wrong)
		}
	}
	if status, out, wrong := runPlace([]string{"-h"}, ""); status != 0 || wrong != "" ||
		!strings.HasPrefix(out, "usage: beamhelm place") {
		t.Errorf("-h: %d %q %q", status, out, wrong)
	}
	if status, _, wrong := runPlace([]string{"Moon"}, ""); status != 2 || !strings.Contains(wrong, "Moon") {
		t.Errorf("a stray word: %d %q", status, wrong)
	}
}

// Source: ephem/testdata, as in TestPlace.
func TestPlaceBatch(t *testing.T) {
	text, err := os.ReadFile("../../ephem/testdata/moon_sun_places.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := table(t, string(text))
	batch := batchHeader + "\n"
	for _, row := range want {
		batch += fmt.Sprintf("%s,%s,%s,%s,%s\n", row["lat_deg"], row["lon_deg"], row["height_m"], row["body"],
			row["utc"])
	}
	file := filepath.Join(t.TempDir(), "places.csv")
	if err := os.WriteFile(file, []byte(strings.ReplaceAll(batch, "\n", "\r\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, wrong := runPlace([]string{"-batch", file}, "")
	if status != 0 || wrong != "" {
		t.Fatalf("status %d, stderr %q", status, wrong)
	}
	rows := table(t, out)
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d", len(rows), len(want))
	}
	for i, row := range rows {
		if row["target"] != want[i]["body"] || row["utc"] != want[i]["utc"] {
			t.Fatalf("row %d is %v, want %v", i, row, want[i])
		}
		el, _ := strconv.ParseFloat(want[i]["el_deg"], 64)
		near(t, "elevation", row["el_deg"], el, 1e-5)
	}
	if status, again, _ := runPlace([]string{"-batch", "-"}, batch); status != 0 || again != out {
		t.Error("standard input gives another result than the file")
	}
}

func TestPlaceBatchBadRows(t *testing.T) {
	batch := batchHeader + `
1,2,3,Moon,2027-04-14T16:00:00Z
95,2,3,Moon,2027-04-14T16:00:00Z
NaN,2,3,Moon,2027-04-14T16:00:00Z
1,2,3,Pluto,2027-04-14T16:00:00Z
1,2,3,"83.6,22",2027-04-14T16:00:00Z
1,2,3,Moon,yesterday
1,2,3,Moon
1,2,3,"Moon,2027-04-14T16:00:00Z
1,2,3,sgr a,2027-04-14T18:00:00+02:00`
	status, out, wrong := runPlace([]string{"-batch", "-"}, batch)
	rows := table(t, out)
	if status != 1 || len(rows) != 9 {
		t.Fatalf("status %d, %d rows:\n%s", status, len(rows), out)
	}
	says := []string{"-:3: latitude", "-:4: ", "-:5: target", "-:7: ", "-:8: ", "-:9: "}
	lines := strings.Split(strings.TrimSpace(wrong), "\n")
	if len(lines) != len(says) {
		t.Fatalf("stderr:\n%s", wrong)
	}
	for i, line := range lines {
		if !strings.HasPrefix(line, says[i]) {
			t.Errorf("line %d is %q, want it to begin with %q", i, line, says[i])
		}
	}
	for i, row := range rows {
		good := i == 0 || i == 4 || i == 8
		if (row["az_deg"] != "") != good || (row["dec_deg"] != "") != good {
			t.Errorf("row %d: %v", i, row)
		}
	}
	if rows[1]["target"] != "Moon" || rows[5]["utc"] != "yesterday" || rows[8]["utc"] != "2027-04-14T18:00:00+02:00" ||
		rows[4]["target"] != "83.6,22" {
		t.Errorf("rows %v", rows)
	}
}

func TestPlaceBatchBadFiles(t *testing.T) {
	row := "1,2,3,Moon,2027-04-14T16:00:00Z\n"
	for name, c := range map[string]struct{ text, says string }{
		"byte-order mark": {"\xef\xbb\xbf" + batchHeader + "\n" + row, "-:1: it begins with a byte-order mark"},
		"semicolons": {strings.ReplaceAll(batchHeader+"\n"+row, ",", ";"),
			"-:1: fields are separated by semicolons"},
		"mixed line ends": {batchHeader + "\r\n" + row + row, "-:2: lines end sometimes"},
		"lone CR":         {batchHeader + "\n1,2,3,Mo\ron,2027-04-14T16:00:00Z\n", "-:2: a CR"},
		"UTF-16":          {"\xff\xfel\x00a\x00", "-:1: it is UTF-16"},
		"no header":       {row, "-:1: the header"},
		"empty":           {"", "-:1: empty"},
	} {
		status, out, wrong := runPlace([]string{"-batch", "-"}, c.text)
		if status != 1 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.HasPrefix(wrong, c.says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", name, status, out, wrong)
		}
	}
	if status, _, wrong := runPlace([]string{"-batch", "/nonexistent/file"}, ""); status != 1 ||
		!strings.Contains(wrong, "/nonexistent/file") {
		t.Errorf("missing file: %d %q", status, wrong)
	}
}

func TestPlaceFailures(t *testing.T) {
	var out, wrong bytes.Buffer
	if status := Place(firstPlace, strings.NewReader(""), &out, &wrong, []byte("rubbish")); status != 1 ||
		!strings.Contains(wrong.String(), "pack") {
		t.Errorf("a damaged pack: %d %q", status, wrong.String())
	}
	wrong.Reset()
	if status := Place(append(firstPlace, "-csv"), strings.NewReader(""), full{}, &wrong, nil); status != 1 ||
		!strings.Contains(wrong.String(), "writing") {
		t.Errorf("a full disk: %d %q", status, wrong.String())
	}
}

// full is a stream that takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrDeadlineExceeded }

func TestFiguresPrintNoMinusNothing(t *testing.T) {
	c := column{"x", 3}
	for value, want := range map[float64]string{-0.0001: "0.000", 0.0004: "0.000", -0.0006: "-0.001", -10: "-10.000",
		0: "0.000"} {
		if got := c.word(value); got != want {
			t.Errorf("%v prints as %s, want %s", value, got, want)
		}
	}
	if got := circle(359.9999997, 6); got != 0 {
		t.Errorf("359.9999997 folds to %v", got)
	}
}

func FuzzBatch(f *testing.F) {
	f.Add(batchHeader + "\n1,2,3,Moon,2027-04-14T16:00:00Z\n")
	f.Add(batchHeader + "\r\n1,2,3,\"1,2\",2027-04-14T16:00:00Z\r\n")
	f.Add("\xef\xbb\xbf;\r")
	f.Fuzz(func(t *testing.T, text string) {
		status, out, wrong := runPlaceSeries(text)
		if (status == 0) != (wrong == "") {
			t.Fatalf("status %d with stderr %q", status, wrong)
		}
		if out != "" {
			table(t, out)
		}
		if strings.Contains(out, "NaN") && !strings.Contains(text, "NaN") {
			t.Errorf("a figure is NaN: %s", out)
		}
	})
}

func runPlaceSeries(stdin string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Place([]string{"-batch", "-"}, strings.NewReader(stdin), &out, &wrong, nil)
	return status, out.String(), wrong.String()
}
