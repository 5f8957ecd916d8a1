package records

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/message"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/view"
)

// question is what is looked up, and answer what came of it.
type question struct {
	readings []journal.Series
	from, to time.Time
	follows  bool          // to is now
	span     time.Duration // that is chosen; 0: as much as there is
	earlier  time.Duration // how far back what stands beside the first reading lies; 0: nothing
	filter   filter
}

type answer struct {
	question
	trends    []journal.Trend // of each reading
	earlier   []journal.Point // of the first, moved to the time shown
	limits    [4]float64      // of the first reading as they are now; NaN where none
	entries   []journal.Entry
	more      bool            // there may be more entries than were looked up
	marks     []journal.Entry // what went wrong, all of it
	fast      bool            // the records are of practice, whose time may have run fast
	trips     []journal.Entry
	last      []journal.Entry // the last trip, if any, of a day or of the time shown, where trips are listed
	since     int             // how many entries are newer than it, where it is not among the newest
	sinceMore bool            // there are more than were looked up
	err       error
}

// filter says which entries are listed.
type filter struct {
	words string
	kinds []journal.What
	grade desk.Grade
}

// maxMarks is how many marks a chart has at most, the newest.
const maxMarks = 200

func (q question) ask(ctx context.Context, source Source) answer {
	a := answer{question: q}
	keys := make([]string, len(q.readings))
	for i, s := range q.readings {
		keys[i] = s.Key
	}
	if a.trends, a.err = source.Trends(ctx, keys, q.from, q.to, columns); a.err != nil {
		return a
	}
	if q.earlier > 0 && len(keys) > 0 {
		before, err := source.Trends(ctx, keys[:1], q.from.Add(-q.earlier), q.to.Add(-q.earlier), columns)
		if err != nil {
			a.err = err
			return a
		}
		for _, p := range before[0].Points {
			p.At = p.At.Add(q.earlier)
			a.earlier = append(a.earlier, p)
		}
	}
	look := func(f journal.Filter) []journal.Entry {
		if a.err != nil {
			return nil
		}
		if f.To = q.to; f.From.IsZero() {
			f.From = q.from
		}
		var all []journal.Entry
		all, a.err = source.Entries(ctx, f)
		for i := range all {
			all[i].Words = message.Capital(all[i].Words) // a cause is kept as it goes on in a sentence
		}
		return all
	}
	listed := journal.Filter{Words: q.filter.words, Kinds: q.filter.kinds, MinGrade: q.filter.grade, Max: maxFound}
	found := look(listed)
	a.entries, a.more = once(found), len(found) == maxFound
	a.marks = look(journal.Filter{Kinds: []journal.What{journal.WhatEvent}, MinGrade: desk.Warning, Max: maxMarks})
	trips := []journal.What{journal.WhatTrip}
	a.trips = look(journal.Filter{Kinds: trips, Max: maxMarks})
	if len(q.filter.kinds) == 0 || slices.Equal(q.filter.kinds, trips) {
		from := q.to.Add(-tripStays)
		if q.from.Before(from) {
			from = q.from
		}
		a.last = look(journal.Filter{From: from, Words: q.filter.words, Kinds: trips, Max: 1})
	}
	if trip, apart := a.tripApart(); apart {
		listed.From, listed.Max = trip.At, maxSince
		found := look(listed)
		a.sinceMore = len(found) == maxSince
		a.since = len(slices.DeleteFunc(once(found),
			func(e journal.Entry) bool { return !e.At.After(trip.At) }))
	}
	return a
}

// maxFound is how many entries are looked up: some are left out as said twice.
const maxFound = 3 * maxLines

// tripStays is for how long the last trip keeps a line of the list, however short the time shown is.
const tripStays = 24 * time.Hour

// maxSince is how many entries since the last trip are counted at most.
const maxSince = 500

// newest are the newest entries, as many as there are lines.
func (a answer) newest() []journal.Entry { return a.entries[:min(len(a.entries), maxLines)] }

// tripApart is the last trip where it is not among the newest entries.
func (a answer) tripApart() (trip journal.Entry, apart bool) {
	for _, trip := range a.last {
		return trip, !slices.ContainsFunc(a.newest(),
			func(e journal.Entry) bool { return e.What == trip.What && e.At.Equal(trip.At) })
	}
	return trip, false
}

// lines are the entries listed: the newest, and the last trip in the last line where it is not among them, with a line
// before it that says how many are left out between.
func (a answer) lines() []journal.Entry {
	lines := a.newest()
	trip, apart := a.tripApart()
	if !apart {
		return lines
	}
	lines = slices.Clone(lines[:min(len(lines), maxLines-1)])
	if a.since > len(lines) {
		lines = lines[:min(len(lines), maxLines-2)]
		lines = append(lines, journal.Entry{Words: leftOut(a.since-len(lines), a.sinceMore)})
	}
	return append(lines, trip)
}

// leftOut says how many entries are left out, or that there are more.
func leftOut(n int, more bool) string {
	if more {
		return fmt.Sprintf("… more than %d older entries not shown", n)
	}
	return fmt.Sprintf("… %d older entries not shown", n)
}

// continues says whether a question is another one again, later: of what comes up to now, listed alike.
func (q question) continues(before question) bool {
	return q.follows && before.follows && q.span == before.span && q.filter.words == before.filter.words &&
		q.filter.grade == before.filter.grade && slices.Equal(q.filter.kinds, before.filter.kinds)
}

// once leaves out what another entry of the same second says too: an alarm that is told as an event, an event that is a
// trip or another lock-out.
func once(all []journal.Entry) (some []journal.Entry) {
	weight := map[journal.What]int{journal.WhatAlarm: 0, journal.WhatEvent: 1, journal.WhatLockOut: 2,
		journal.WhatTrip: 2}
	said := func(e journal.Entry) bool {
		own, ok := weight[e.What]
		return ok && slices.ContainsFunc(all, func(o journal.Entry) bool {
			return weight[o.What] > own && o.At.Sub(e.At).Abs() <= time.Second &&
				(strings.HasPrefix(o.Words, e.Words) || cause(o.Words) == cause(e.Words))
		})
	}
	for _, e := range all {
		if !said(e) {
			some = append(some, e)
		}
	}
	return some
}

// cause is what is said of a lock-out without that it is one.
func cause(words string) string {
	return strings.Replace(strings.ToLower(words), "locked out: ", "", 1)
}

// extentWords says between what a reading lay, or what it was at a moment, if one is given.
func (a answer) extentWords(index int, at time.Time) string {
	if index >= len(a.trends) {
		return ""
	}
	s, points := a.readings[index], a.trends[index].Points
	side := a.sideOf(index)
	if side != "" {
		side = ", " + side
	}
	figure := func(v float64) string { return view.Number(v, s.Decimals) }
	unit := view.Spaced(s.Unit)
	if !at.IsZero() {
		for _, p := range points {
			if !p.At.After(at) && p.At.Add(a.trends[index].Step).After(at) {
				return figure(p.Mean) + unit + " at " + at.UTC().Format("15:04:05")
			}
		}
		return "nothing at " + at.UTC().Format("15:04:05")
	}
	low, high, ok := bounds(points)
	if !ok {
		return "nothing recorded in this time"
	}
	return figure(low) + " to " + figure(high) + unit + side
}

// ask looks up what is chosen, one thing at a time.
func (p *Pane) ask() {
	for i, span := range spans() {
		p.lengths[i].Choose(span == p.span)
	}
	p.after.SetEnabled(!p.to.IsZero())
	switch {
	case p.source == nil || p.now.Status == nil:
		return
	case p.job.Busy():
		p.again = true
		return
	}
	from, to := p.window()
	q := question{readings: slices.Clone(p.readings), from: from, to: to, follows: p.to.IsZero(), earlier: p.earlier,
		filter: p.filter}
	if p.chosen {
		q.span = p.span
	}
	q.filter.words = p.search.Text
	source := p.source
	offwindow.Do(&p.job, askWithin, func(ctx offwindow.Context) (answer, error) {
		a := q.ask(ctx, source)
		return a, a.err
	}, func(a answer, err error) {
		a.question, a.err = q, err
		p.take(a)
	})
}

// secondsBelow is the time shown below which its ends are told to the second.
const secondsBelow = 10 * time.Minute

// take shows an answer, and asks again when something else was chosen meanwhile.
func (p *Pane) take(a answer) {
	a.limits, a.fast = p.limitsOf(a), p.now.Practice
	p.answer = a
	if p.first.IsZero() && a.err == nil {
		for _, t := range a.trends {
			if len(t.Points) > 0 && (p.first.IsZero() || t.Points[0].At.Before(p.first)) {
				p.first = t.Points[0].At
			}
		}
		before := p.span
		p.fit()
		p.again = p.again || p.span != before
	}
	p.plot.show(a)
	p.labelled.Show(a.from, a.to, a.scales()...)
	p.tell(time.Time{})
	moment := view.Moment
	if a.to.Sub(a.from) < secondsBelow {
		moment = momentOf
	}
	p.from.SetWords(moment(a.from, p.now.At))
	p.until.SetWords(moment(a.to, p.now.At))
	station := p.now.Station.Name
	if p.now.Practice {
		station += ", practice"
	}
	p.station.SetWords(station)
	if p.list.take(a, p.now.At) {
		p.object.Refresh()
	}
	p.tellListed()
	if p.again {
		p.again = false
		p.ask()
	}
}

// tellListed says what is listed.
func (p *Pane) tellListed() {
	listed := p.list.listed
	_, apart := listed.tripApart()
	switch {
	case p.answer.err != nil:
		p.told.SetWords("Can't look back now: " + p.answer.err.Error())
	case len(listed.lines()) == 0:
		p.told.SetWords("No matching event in this time")
	case !apart:
		p.told.SetWords(listed.newestWords() + ", UTC. For all: beamhelm records export")
	default:
		p.told.SetWords(listed.newestWords() + " and last trip, UTC. For all: beamhelm records export")
	}
}

// newestWords say of what time the entries are the newest.
func (q question) newestWords() string {
	if q.follows {
		return "Newest entries"
	}
	return "Last entries of this time"
}

// limitsOf are those of the first reading as they are set now.
func (p *Pane) limitsOf(a answer) [4]float64 {
	if len(a.readings) > 0 && p.now.Status != nil {
		for _, r := range p.now.Readings {
			if r.Key == a.readings[0].Key {
				return view.LimitsOf(r)
			}
		}
	}
	nan := math.NaN()
	return [4]float64{nan, nan, nan, nan}
}

// tell shows the figures of a moment, or of the whole time where it is zero.
func (p *Pane) tell(at time.Time) {
	for i := range p.legend {
		p.legend[i].extent.SetWords(p.answer.extentWords(i, at))
	}
}
