// Package export writes passes as files for other programs: CSV (RFC 4180) and
// iCalendar (RFC 5545).
package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"

	"beamhelm/ephem/passes"

	ics "github.com/arran4/golang-ical"
)

// stampForm is RFC 3339 to a tenth of a second.
const stampForm = "2006-01-02T15:04:05.0Z07:00"

// CSV returns passes as a table with a header, lines ended by CR LF. Times are UTC; where the
// span cut a pass the time is empty.
func CSV(list []passes.Pass) []byte {
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	w.UseCRLF = true
	// A buffer takes all: the writer can't fail.
	w.Write([]string{"rise_utc", "set_utc", "highest_utc", "highest_el_deg", "rise_az_deg", "set_az_deg"})
	edge := func(at time.Time, cut bool) string {
		if cut {
			return ""
		}
		return tenths(at)
	}
	degrees := func(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }
	for _, p := range list {
		w.Write([]string{
			edge(p.Rise, p.CutRise), edge(p.Set, p.CutSet), tenths(p.Highest),
			degrees(p.HighestEl.Deg()), degrees(p.RiseAz.Deg()), degrees(p.SetAz.Deg()),
		})
	}
	w.Flush()
	return text.Bytes()
}

func tenths(at time.Time) string {
	return at.UTC().Round(100 * time.Millisecond).Format(stampForm)
}

// About is what a calendar says besides the times.
type About struct {
	Target  string // "Moon"
	Station string // the station's name
	// Partners are the names of those who share the passes; empty for the station's own.
	Partners []string
	// Warning is how long before a pass the alarm sounds; 0 for none.
	Warning time.Duration
	// Made is when the calendar is made.
	Made time.Time
}

// Calendar returns passes as an iCalendar file, an event each, lines ended by CR LF and folded. The
// same pass made again has the same UID, so that a calendar renews it instead of doubling it: UIDs
// are made of the names and of the hour in which the target stands highest.
func Calendar(list []passes.Pass, about About) []byte {
	calendar := ics.NewCalendarFor("Beamhelm")
	calendar.SetProductId("-//Beamhelm//Passes//EN")
	calendar.SetMethod(ics.MethodPublish)
	for _, p := range list {
		event := calendar.AddEvent(about.uid(p))
		event.SetDtStampTime(about.Made.UTC())
		event.SetStartAt(p.Rise.UTC().Round(time.Second))
		event.SetEndAt(p.Set.UTC().Round(time.Second))
		event.SetSummary(about.title())
		event.SetDescription(description(p))
		event.SetTimeTransparency(ics.TransparencyTransparent)
		if about.Warning > 0 {
			alarm := event.AddAlarm()
			alarm.SetAction(ics.ActionDisplay)
			alarm.SetTrigger(fmt.Sprintf("-PT%dM", int(about.Warning.Round(time.Minute).Minutes())))
			alarm.SetDescription(about.title())
		}
	}
	return []byte(calendar.Serialize(ics.WithNewLine("\r\n")))
}

func (a About) title() string {
	title := a.Target + " at " + a.Station
	if len(a.Partners) > 0 {
		title += " with " + strings.Join(a.Partners, ", ")
	}
	return title
}

func description(p passes.Pass) string {
	cut := ""
	if p.CutRise || p.CutSet {
		cut = " Longer than this list's span."
	}
	return fmt.Sprintf("Highest %.1f degrees at %s UTC. Azimuth %.0f to %.0f degrees.%s",
		p.HighestEl.Deg(), p.Highest.UTC().Format("15:04"), p.RiseAz.Deg(), p.SetAz.Deg(), cut)
}

// uid is made of letters, digits and hyphens whatever the names are.
func (a About) uid(p passes.Pass) string {
	hour := p.Highest.UTC().Round(time.Hour).Format("20060102T15")
	names := strings.Join(append([]string{a.Target, a.Station}, a.Partners...), "-")
	return hour + "-" + plain(names) + "@beamhelm.invalid"
}

func plain(names string) string {
	var out strings.Builder
	for _, r := range strings.ToLower(names) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			out.WriteRune(r)
		} else {
			fmt.Fprintf(&out, "_%x", r)
		}
	}
	return out.String()
}
