// Package diary writes a month of passes, and skeds, to files that other programs read: a CSV
// table (RFC 4180) and a calendar (RFC 5545).
package diary

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// CSV is the passes of a plan as a table: UTC to the second, angles in degrees. A
// pass that the month cuts has an empty field at the cut; where something doesn't apply the field is empty.
func CSV(p *desk.Plan) []byte {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.UseCRLF = true
	// A buffer takes all: none of these fails.
	w.Write([]string{"target", "rise_utc", "set_utc", "rise_az_deg", "set_az_deg", "highest_utc", "highest_el_deg",
		"above_perigee_db", "merit", "partner", "shared_from_utc", "shared_to_utc", "shared_min", "sun_near", "dates"})
	for _, pass := range p.Passes {
		row := []string{p.Target, stamp(pass.Rise, pass.CutRise), stamp(pass.Set, pass.CutSet),
			number(pass.RiseAz.Deg(), 1, pass.CutRise), number(pass.SetAz.Deg(), 1, pass.CutSet),
			stamp(pass.Highest, false), number(pass.HighestEl.Deg(), 2, false),
			number(pass.AbovePerigeeDB, 2, math.IsNaN(pass.Merit)), number(pass.Merit, 2, math.IsNaN(pass.Merit)),
			p.Partner, stamp(pass.SharedFrom, pass.Shared == 0), stamp(pass.SharedTo, pass.Shared == 0),
			number(pass.Shared.Minutes(), 0, p.Partner == ""), strconv.FormatBool(pass.SunWithin), pass.Dates}
		w.Write(row)
	}
	w.Flush()
	return text.Bytes()
}

func stamp(t time.Time, empty bool) string {
	if empty || t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05Z")
}

func number(v float64, decimals int, empty bool) string {
	if empty {
		return ""
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// Calendar is the passes of a plan as a calendar: an event each, with an alarm half an
// hour before. A pass keeps its identifier from one writing to the next: it is made
// of target, station and the day of its highest moment, so that a calendar
// program replaces what it has. Made is the moment of writing.
func Calendar(p *desk.Plan, station desk.Station, made time.Time) []byte {
	c := newCalendar("Plan of passes", made)
	for _, pass := range p.Passes {
		summary := fmt.Sprintf("%s, highest %.0f°", p.Target, pass.HighestEl.Deg())
		if pass.Shared > 0 {
			summary += ", shared with " + p.Partner
		}
		if pass.Dates != "" {
			summary += " (" + pass.Dates + ")"
		}
		c.add(event{
			name: identifier(p.Target, station, pass.Highest), from: pass.Rise, to: pass.Set,
			summary: summary, description: describe(p, pass), station: station.Name,
		})
	}
	return c.text()
}

func describe(p *desk.Plan, pass desk.PlanPass) string {
	lines := []string{
		fmt.Sprintf("Rises %s at azimuth %.0f°, sets %s at %.0f° (UTC).", pass.Rise.UTC().Format("15:04"),
			pass.RiseAz.Deg(), pass.Set.UTC().Format("15:04"), pass.SetAz.Deg()),
		fmt.Sprintf("Highest %s, %.1f°.", pass.Highest.UTC().Format("15:04"), pass.HighestEl.Deg()),
	}
	if !math.IsNaN(pass.Merit) {
		lines = append(lines, fmt.Sprintf("Path %.1f dB above perigee, best merit %.2f.", pass.AbovePerigeeDB,
			pass.Merit))
	}
	if pass.Shared > 0 {
		lines = append(lines, fmt.Sprintf("Shared with %s %s to %s.", p.Partner, pass.SharedFrom.UTC().Format("15:04"),
			pass.SharedTo.UTC().Format("15:04")))
	}
	if pass.Dates != "" {
		lines = append(lines, "Marked: "+pass.Dates+".")
	}
	if pass.SunWithin {
		lines = append(lines, "The Sun is near the Moon.")
	}
	return strings.Join(lines, "\n")
}
