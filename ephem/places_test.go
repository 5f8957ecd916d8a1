package ephem

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"
)

// placeRow is a line of testdata/moon_sun_places.csv or source_places.csv.
type placeRow struct {
	site             Site
	body             Body
	at               time.Time
	az, el           float64
	distance, rate   float64
	raTop, decTop    float64
	delay, doppler   float64
	isMoon, hasRange bool
}

// placeRows reads a file of places.
func placeRows(t testing.TB, name string) []placeRow {
	t.Helper()
	file, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, title := range lines[0] {
		column[title] = i
	}
	rows := make([]placeRow, 0, len(lines)-1)
	for _, line := range lines[1:] {
		number := func(title string) float64 {
			i, present := column[title]
			if !present || line[i] == "" {
				return 0
			}
			x, err := strconv.ParseFloat(line[i], 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return x
		}
		at, err := time.Parse(time.RFC3339, line[column["utc"]])
		if err != nil {
			t.Fatal(err)
		}
		row := placeRow{
			site: Site{deg(number("lat_deg")), deg(number("lon_deg")), number("height_m")},
			at:   at, az: number("az_deg"), el: number("el_deg"),
			distance: number("dist_km"), rate: number("range_rate_mps"),
			raTop: number("ra_top_deg"), decTop: number("dec_top_deg"),
			delay: number("echo_delay_s"), doppler: number("echo_doppler_1296mhz_hz"),
		}
		if _, sources := column["source"]; sources {
			row.body = Star(line[column["source"]], deg(number("ra_icrs_deg")), deg(number("dec_icrs_deg")))
		} else if row.hasRange = true; line[column["body"]] == "moon" {
			row.body, row.isMoon = MoonBody(), true
		} else {
			row.body = SunBody()
		}
		rows = append(rows, row)
	}
	return rows
}

// worst gathers the largest differences.
type worst struct{ apart, radec, distance, rate float64 }

func worstOf(s *Sky, rows []placeRow, pick func(placeRow) bool) (w worst, count int) {
	for _, row := range rows {
		if !pick(row) {
			continue
		}
		count++
		look := s.Look(row.site, row.body, row.at)
		w.apart = math.Max(w.apart, Separation(look.Az, look.El, deg(row.az), deg(row.el)).Deg())
		if row.hasRange {
			w.radec = math.Max(w.radec, Separation(look.RA, look.Dec, deg(row.raTop), deg(row.decTop)).Deg())
			w.distance = math.Max(w.distance, math.Abs(look.DistanceKm-row.distance))
			w.rate = math.Max(w.rate, math.Abs(look.RangeRateMps-row.rate))
		}
	}
	return w, count
}

func isMoon(r placeRow) bool { return r.isMoon }
func isSun(r placeRow) bool  { return r.hasRange && !r.isMoon }
func isStar(r placeRow) bool { return !r.hasRange }

// Source of both files: places worked out with JPL DE431 (Moon), DE405 (Sun) and ERFA
// 2006/2000A; UT1 = UTC, no polar motion, TT = UTC + 69.184 s, WGS 84, airless.
func TestSeriesAgainstPlaces(t *testing.T) {
	s := seriesSky(t)
	rows := append(placeRows(t, "moon_sun_places.csv"), placeRows(t, "source_places.csv")...)
	for _, kind := range []struct {
		name    string
		pick    func(placeRow) bool
		count   int
		maximum worst
	}{
		{"Moon", isMoon, 360, worst{0.005, 0.005, 12, 0.08}},
		{"Sun", isSun, 360, worst{0.005, 0.005, 3000, 1}},
		{"sources", isStar, 200, worst{apart: 0.0002}},
	} {
		w, count := worstOf(s, rows, kind.pick)
		t.Logf("%s: %+v", kind.name, w)
		if count != kind.count {
			t.Errorf("%s: %d rows, want %d", kind.name, count, kind.count)
		}
		if w.apart > kind.maximum.apart || w.radec > kind.maximum.radec || w.distance > kind.maximum.distance ||
			w.rate > kind.maximum.rate {
			t.Errorf("%s: worst %+v, want at most %+v", kind.name, w, kind.maximum)
		}
	}
}
