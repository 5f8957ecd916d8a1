package diary

import (
	"fmt"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"beamhelm/app/desk"
)

// alarmBefore is how long before its beginning an event rings, as RFC 5545 writes it.
const alarmBefore = "-PT30M"

// calendar is a calendar that is being written, RFC 5545.
type calendar struct {
	*ics.Calendar
	made time.Time
	seen map[string]int
}

// event is one of its events.
type event struct {
	name                          string // the same from one writing to the next
	from, to                      time.Time
	summary, description, station string
}

func newCalendar(of string, made time.Time) *calendar {
	c := &calendar{ics.NewCalendarFor("Beamhelm"), made, map[string]int{}}
	c.SetProductId("-//Beamhelm//" + of + "//EN")
	c.SetMethod(ics.MethodPublish)
	return c
}

// add adds an event, with an alarm half an hour before.
func (c *calendar) add(e event) {
	if c.seen[e.name]++; c.seen[e.name] > 1 {
		e.name = fmt.Sprintf("%s-%d", e.name, c.seen[e.name])
	}
	out := c.AddEvent(e.name + "@beamhelm")
	out.SetDtStampTime(c.made.UTC())
	out.SetStartAt(e.from.UTC().Truncate(time.Second))
	out.SetEndAt(e.to.UTC().Truncate(time.Second))
	out.SetSummary(e.summary)
	out.SetDescription(e.description)
	out.SetLocation(e.station)
	out.SetTimeTransparency(ics.TransparencyTransparent)
	alarm := out.AddAlarm()
	alarm.SetAction(ics.ActionDisplay)
	alarm.SetTrigger(alarmBefore)
	alarm.SetDescription(e.summary)
}

func (c *calendar) text() []byte { return []byte(c.Serialize(ics.WithNewLineWindows)) }

// identifier names an event of a target or of stations, by the day of one of its moments.
func identifier(of string, station desk.Station, at time.Time) string {
	of = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(of))
	return fmt.Sprintf("%s-%s-%.0f-%.0f", of, at.UTC().Format("20060102"), 1e4*station.Lat.Deg(), 1e4*station.Lon.Deg())
}
