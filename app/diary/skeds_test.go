package diary

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/ephem/sked"
)

// skeds are two invented windows, the first with two stations.
func skeds() *desk.Skeds {
	from := time.Date(2027, 4, 14, 19, 35, 6, 5e8, time.UTC)
	end := func(name string, losses sked.Losses) sked.End {
		return sked.End{Name: name, El: unit.AngleFromDeg(34), SpreadHz: 61, Spatial: unit.AngleFromDeg(-41),
			DopplerHz: -0.04, DriftHzPerS: -0.1, Losses: losses}
	}
	return &desk.Skeds{Partners: []string{"Quarry Ridge", "Larch; Hollow"}, Band: "1296 MHz", Mode: "Morse",
		ToleratedHz: 50,
		List: []desk.Sked{
			{Window: sked.Window{From: from, To: from.Add(6 * time.Hour)},
				Best: from.Truncate(time.Minute).Add(3 * time.Hour), Worst: 1,
				Ends: []sked.End{end("Quarry Ridge", sked.Losses{DistanceDB: -0.3}),
					end("Larch; Hollow", sked.Losses{DistanceDB: -0.3, NoiseDB: 1, AirDB: 0.1, PolarisationDB: 2.4,
						SpreadDB: 0.43})}},
			{Window: sked.Window{From: from.Add(24 * time.Hour), To: from.Add(30 * time.Hour), CutTo: true},
				Best: from.Add(25 * time.Hour),
				Ends: []sked.End{end("Quarry Ridge", sked.Losses{DistanceDB: 9})}},
		}}
}

// Source: RFC 4180. The terms of a line add up to its sum, and the sum of the line that counts is the merit below 0.
func TestSkedCSV(t *testing.T) {
	text := SkedCSV(skeds())
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(rows) != 4 || bytes.Count(text, []byte("\r\n")) != 4 {
		t.Fatalf("%v: %q", err, text)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for name, want := range map[string]string{"rank": "1", "from_utc": "2027-04-14T19:35:06Z", "merit_db": "-3.63",
		"partner": "Larch; Hollow",
		"counts":  "true", "total_db": "3.63", "degradation_db": "0.70", "spread_loss_db": "0.43",
		"spatial_deg": "-41.0", "doppler_hz": "0.0"} {
		if got := rows[2][column[name]]; got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	if rows[1][column["counts"]] != "false" || rows[3][column["to_utc"]] != "" || rows[3][column["rank"]] != "2" {
		t.Errorf("rows %q", rows[1:])
	}
}

// Source: RFC 5545.
func TestSkedCalendar(t *testing.T) {
	place := desk.Station{Name: "Cold Harbour Field", Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96)}
	text := SkedCalendar(skeds(), place, time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC))
	calendar, err := ics.ParseCalendar(bytes.NewReader(text))
	if err != nil || len(calendar.Events()) != 2 || calendar.Events()[0].Id() == calendar.Events()[1].Id() {
		t.Fatalf("read again: %v\n%s", err, text)
	}
	first := calendar.Events()[0]
	if at, err := first.GetStartAt(); err != nil || !at.Equal(time.Date(2027, 4, 14, 19, 35, 6, 0, time.UTC)) {
		t.Errorf("begins at %v, %v", at, err)
	}
	words := first.GetProperty(ics.ComponentPropertySummary).Value
	if words != "Sked with Quarry Ridge, Larch; Hollow, 1296 MHz: -3.6 dB, best 22:35" {
		t.Errorf("summary %q", words)
	}
	about := first.GetProperty(ics.ComponentPropertyDescription).Value
	if !strings.Contains(about, "loss 3.6 dB = distance -0.3, noise 1.0, air 0.1, polarisation 2.4, spread 0.4") {
		t.Errorf("description %q", about)
	}
}
