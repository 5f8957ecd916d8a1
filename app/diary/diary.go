// Package diary writes a month of passes to files that other programs read: a CSV
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

	ics "github.com/arran4/golang-ical"

	"beamhelm/app/desk"
)

// alarmBefore is how long before its rise a pass rings, as RFC 5545 writes it.
const alarmBefore = "-PT30M"

// CSV is the passes of a plan as a table: UTC to the second, angles in degrees. A
// pass that the month cuts has an empty field at the cut; where something doesn't apply the field is empty.
func CSV(p *desk.Plan) []byte {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.UseCRLF = true
	// A buffer takes all: none of these fails.
	w.Write([]string{"target", "rise_utc", "set_utc", "rise_az_deg", "set_az_deg", "highest_utc", "highest_el_deg", "above_perigee_db", "merit", "partner", "shared_from_utc", "shared_to_utc", "shared_min", "sun_near", "dates"})
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
	calendar := ics.NewCalendarFor("Beamhelm")
	calendar.SetProductId("-//Beamhelm//Plan of passes//EN")
	calendar.SetMethod(ics.MethodPublish)
	seen := map[string]int{}
	for _, pass := range p.Passes {
		name := identifier(p.Target, station, pass.Highest)
		if seen[name]++; seen[name] > 1 {
			name = fmt.Sprintf("%s-%d", name, seen[name])
		}
		event := calendar.AddEvent(name + "@beamhelm")
		event.SetDtStampTime(made.UTC())
		event.SetStartAt(pass.Rise.UTC().Truncate(time.Second))
		event.SetEndAt(pass.Set.UTC().Truncate(time.Second))
		summary := fmt.Sprintf("%s, highest %.0f°", p.Target, pass.HighestEl.Deg())
		if pass.Shared > 0 {
			summary += ", shared with " + p.Partner
		}
		if pass.Dates != "" {
			summary += " (" + pass.Dates + ")"
		}
		event.SetSummary(summary)
		event.SetDescription(describe(p, pass))
		event.SetLocation(station.Name)
		event.SetTimeTransparency(ics.TransparencyTransparent)
		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger(alarmBefore)
		alarm.SetDescription(summary)
	}
	return []byte(calendar.Serialize(ics.WithNewLineWindows))
}

// identifier names a pass.
func identifier(target string, station desk.Station, highest time.Time) string {
	target = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(target))
	return fmt.Sprintf("%s-%s-%.0f-%.0f", target, highest.UTC().Format("20060102"), 1e4*station.Lat.Deg(), 1e4*station.Lon.Deg())
}

func describe(p *desk.Plan, pass desk.PlanPass) string {
	lines := []string{
		fmt.Sprintf("Rises %s at azimuth %.0f°, sets %s at %.0f° (UTC).", pass.Rise.UTC().Format("15:04"), pass.RiseAz.Deg(), pass.Set.UTC().Format("15:04"), pass.SetAz.Deg()),
		fmt.Sprintf("Highest %s, %.1f°.", pass.Highest.UTC().Format("15:04"), pass.HighestEl.Deg()),
	}
	if !math.IsNaN(pass.Merit) {
		lines = append(lines, fmt.Sprintf("Path %.1f dB above perigee, best merit %.2f.", pass.AbovePerigeeDB, pass.Merit))
	}
	if pass.Shared > 0 {
		lines = append(lines, fmt.Sprintf("Shared with %s %s to %s.", p.Partner, pass.SharedFrom.UTC().Format("15:04"), pass.SharedTo.UTC().Format("15:04")))
	}
	if pass.Dates != "" {
		lines = append(lines, "Marked: "+pass.Dates+".")
	}
	if pass.SunWithin {
		lines = append(lines, "The Sun is near the Moon.")
	}
	return strings.Join(lines, "\n")
}
