package diary

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// Column is a column of a table, with the decimals of its numbers.
type Column struct {
	Name     string
	Decimals int
}

// SkedColumns are the columns of a table of skeds. Where several stations take part each window has a line for each of
// them; 'counts' is true for the one that loses most, whose sum is the window's figure of merit below 0.
func SkedColumns() []Column {
	return []Column{
		{"rank", 0}, {"from_utc", 0}, {"to_utc", 0}, {"best_utc", 0}, {"merit_db", 2}, {"partner", 0}, {"counts", 0},
		{"el_deg", 2}, {"partner_el_deg", 2}, {"distance_db", 2}, {"noise_db", 2}, {"degradation_db", 2}, {"air_db", 2},
		{"polarisation_db", 2}, {"spread_loss_db", 2}, {"total_db", 2}, {"spread_hz", 2}, {"tolerated_hz", 0},
		{"spatial_deg", 1}, {"sun_deg", 1}, {"doppler_hz", 1}, {"doppler_rate_hz_per_s", 3},
	}
}

// SkedRows are the lines of the table, best window first, each cell a string, a float64, or nil where the span cuts a
// window. Times are UTC to the second, the best to the minute.
func SkedRows(s *desk.Skeds) (rows [][]any) {
	edge := func(at time.Time, cut bool) any {
		if cut {
			return nil
		}
		return stamp(at, false)
	}
	for rank := range s.List {
		one := &s.List[rank]
		for i := range one.Ends {
			e := &one.Ends[i]
			rows = append(rows, []any{
				float64(rank + 1), edge(one.From, one.CutFrom), edge(one.To, one.CutTo), stamp(one.Best, false),
				-one.Losses().TotalDB(), e.Name, strconv.FormatBool(i == one.Worst), one.El.Deg(), e.El.Deg(),
				e.DistanceDB,
				e.NoiseDB, e.DegradationDB(), e.AirDB, e.PolarisationDB, e.SpreadDB, e.TotalDB(), e.SpreadHz,
				s.ToleratedHz,
				e.Spatial.Deg(), one.SunOff.Deg(), e.DopplerHz, e.DriftHzPerS,
			})
		}
	}
	return rows
}

// decimal writes a number with some decimals, never as minus nothing.
func decimal(v float64, decimals int) string {
	text := number(v, decimals, false)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// SkedCSV is the table, RFC 4180.
func SkedCSV(s *desk.Skeds) []byte {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.UseCRLF = true
	columns := SkedColumns()
	line := make([]string, len(columns))
	for i, c := range columns {
		line[i] = c.Name
	}
	w.Write(line) // a buffer takes all: none of these fails
	for _, row := range SkedRows(s) {
		for i, cell := range row {
			switch cell := cell.(type) {
			case float64:
				line[i] = decimal(cell, columns[i].Decimals)
			case string:
				line[i] = cell
			default:
				line[i] = ""
			}
		}
		w.Write(line)
	}
	w.Flush()
	return text.Bytes()
}

// SkedCalendar is the windows as a calendar: an event each, with an alarm half an hour before. A window keeps its
// identifier from one writing to the next, as a pass does; it is made of stations, band and the day it begins.
func SkedCalendar(s *desk.Skeds, station desk.Station, made time.Time) []byte {
	c := newCalendar("Skeds", made)
	for i := range s.List {
		one := &s.List[i]
		c.add(event{
			name: identifier("sked-"+strings.Join(s.Partners, "-")+"-"+s.Band, station, one.From),
			from: one.From, to: one.To, station: station.Name,
			summary: fmt.Sprintf("Sked with %s, %s: %s dB, best %s", strings.Join(s.Partners, ", "), s.Band,
				decimal(-one.Losses().TotalDB(), 1), one.Best.UTC().Format("15:04")),
			description: describeSked(s, one),
		})
	}
	return c.text()
}

func describeSked(s *desk.Skeds, one *desk.Sked) string {
	lines := []string{fmt.Sprintf("Best at %s UTC: Moon %.0f° here, Sun %.0f° from it.", one.Best.UTC().Format("15:04"),
		one.El.Deg(), one.SunOff.Deg())}
	for i := range one.Ends {
		e := &one.Ends[i]
		lines = append(lines,
			fmt.Sprintf("%s: Moon %.0f°; loss %s dB = distance %s, noise %s, air %s, polarisation %s, "+
				"spread %s; spread %.0f Hz (%s tolerates %.0f), Doppler %+.0f Hz, %+.3f Hz/s.", e.Name, e.El.Deg(),
				decimal(e.TotalDB(), 1), decimal(e.DistanceDB, 1), decimal(e.NoiseDB, 1), decimal(e.AirDB, 1),
				decimal(e.PolarisationDB, 1), decimal(e.SpreadDB, 1), e.SpreadHz, strings.ToLower(s.Mode),
				s.ToleratedHz,
				e.DopplerHz,
				e.DriftHzPerS))
		if e.Spatial != 0 {
			lines = append(lines, fmt.Sprintf("The two linear feeds stand %+.0f° apart.", e.Spatial.Deg()))
		}
	}
	return strings.Join(lines, "\n")
}
