package records

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/journal"
	"beamhelm/app/view"
)

// entriesAt are trips, the newest first, each with the seconds of its moment as its words.
func entriesAt(q question, seconds ...int) (all []journal.Entry) {
	for _, s := range seconds {
		all = append(all, journal.Entry{What: journal.WhatTrip, At: q.from.Add(time.Duration(s) * time.Second),
			Words: fmt.Sprint(s)})
	}
	return all
}

func (h *entryList) words() (all string) {
	for i := range h.lines {
		all += h.lines[i].words.ControlWords() + " "
	}
	return all
}

// While a line is pointed at or has the keyboard the list stays as it is and tells how many newer entries there are;
// the button shows them. A new choice is listed at once.
func TestListStaysUnderThePointer(t *testing.T) {
	for _, c := range []struct {
		name        string
		look, leave func(*entryLine)
	}{
		{"pointer", func(l *entryLine) { l.whole.MouseIn(&desktop.MouseEvent{}) },
			func(l *entryLine) { l.whole.MouseOut() }},
		{"pointer on the button", func(l *entryLine) { l.again.MouseIn(&desktop.MouseEvent{}) },
			func(l *entryLine) { l.again.MouseOut() }},
		{"keyboard", func(l *entryLine) { l.again.FocusGained() }, func(l *entryLine) { l.again.FocusLost() }},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, _ := pane(t, nil)
			q := hour(t)
			q.follows = true
			take := func(seconds ...int) { p.take(answer{question: q, entries: entriesAt(q, seconds...)}) }
			want := func(words, newer string) {
				t.Helper()
				told := ""
				if p.list.newer.Visible() {
					told = p.list.newer.ControlWords()
				}
				if got := p.list.words(); got != words || told != newer {
					t.Errorf("%q and %q, want %q and %q", got, told, words, newer)
				}
			}
			take(3, 2)
			want("3 2       ", "")
			c.look(&p.list.lines[1])
			take(5, 4, 3, 2)
			want("3 2       ", "2 newer")
			test.Tap(p.list.newer)
			want("5 4 3 2     ", "")
			take(6, 5, 4, 3)
			want("5 4 3 2     ", "1 newer")
			take(18, 17, 16, 15, 14, 13, 12, 11, 10)
			want("5 4 3 2     ", "9 newer")
			p.take(answer{question: q, entries: entriesAt(q, 18, 17, 16, 15, 14, 13, 12, 11, 10), more: true})
			want("5 4 3 2     ", "9 or more newer")
			q.filter.words = "another"
			take(5, 4)
			want("5 4       ", "")
			take(7, 5, 4)
			want("5 4       ", "1 newer")
			c.leave(&p.list.lines[1])
			take(7, 5, 4)
			want("7 5 4      ", "")
		})
	}
}

// The button keeps the list as it is while it has the keyboard itself, stands beside the field for words, and hands
// the keyboard on when it goes. What is told of the list goes with it.
func TestTheButtonOfTheNewest(t *testing.T) {
	p, _ := pane(t, nil)
	q := hour(t)
	q.follows = true
	p.take(answer{question: q})
	wide := p.search.Size().Width
	line := &p.list.lines[0]
	line.whole.MouseIn(&desktop.MouseEvent{})
	p.take(answer{question: q, entries: entriesAt(q, 3)})
	if p.told.ControlWords() != "No matching event in this time" {
		t.Errorf("nothing is listed yet: %q", p.told.ControlWords())
	}
	if end := p.search.Position().X + p.search.Size().Width; end > p.list.newer.Position().X {
		t.Errorf("the field ends at %v, the button begins at %v", end, p.list.newer.Position().X)
	}
	canvas := fyne.CurrentApp().Driver().CanvasForObject(p.list.newer)
	canvas.Focus(p.list.newer)
	line.whole.MouseOut()
	p.take(answer{question: q, entries: entriesAt(q, 4, 3)})
	if !p.list.newer.Visible() || p.list.newer.ControlWords() != "2 newer" {
		t.Errorf("it went while it had the keyboard: %q", p.list.words())
	}
	test.Tap(p.list.newer)
	if canvas.Focused() != p.search {
		t.Errorf("the keyboard is with %v", canvas.Focused())
	}
	if p.told.ControlWords() != "Newest entries, UTC. For all: beamhelm records export" {
		t.Errorf("told: %q", p.told.ControlWords())
	}
	if p.search.Size().Width != wide {
		t.Errorf("the field is %v wide, before %v", p.search.Size().Width, wide)
	}
}

// The last trip keeps the last line however much came after it, and its button.
func TestTheLastTripIsListed(t *testing.T) {
	q := hour(t)
	p, _ := pane(t, nil)
	trip := journal.Entry{What: journal.WhatTrip, At: q.from.Add(-time.Hour), Words: "trip"}
	a := answer{question: q, entries: entriesAt(q, 9, 8, 7, 6, 5, 4, 3, 2, 1), last: []journal.Entry{trip}}
	p.take(a)
	if got := p.list.words(); got != "9 8 7 6 5 4 3 trip " || !p.list.lines[maxLines-1].again.Visible() {
		t.Errorf("%q, to be replayed: %v", got, p.list.lines[maxLines-1].again.Visible())
	}
	told := func(want string) {
		t.Helper()
		if got := p.told.ControlWords(); !strings.HasPrefix(got, want+", UTC") {
			t.Errorf("told %q, want %q", got, want)
		}
	}
	told("Last entries of this time and last trip")
	a.entries = append([]journal.Entry{trip}, a.entries...)
	p.take(a)
	if got := p.list.words(); got != "trip 9 8 7 6 5 4 3 " {
		t.Errorf("listed already: %q", got)
	}
	told("Last entries of this time")
	a.entries = nil
	p.take(a)
	if got := p.list.words(); got != "trip        " {
		t.Errorf("alone: %q", got)
	}
}

// leaveOutShelf has a trip, and after it as many events as told, a second apart.
type leaveOutShelf struct {
	shelf
	trip   time.Time
	events int
}

func (s *leaveOutShelf) Entries(_ context.Context, f journal.Filter) (all []journal.Entry, err error) {
	for i := s.events; i >= 0; i-- {
		at := s.trip.Add(time.Duration(i) * time.Second)
		e := journal.Entry{What: journal.WhatEvent, At: at, Words: fmt.Sprint(i)}
		if i == 0 {
			e.What, e.Words = journal.WhatTrip, "trip"
		}
		if kind := len(f.Kinds) == 0 || slices.Contains(f.Kinds, e.What); kind && !e.At.Before(f.From) &&
			len(all) < f.Max {
			all = append(all, e)
		}
	}
	return all, nil
}

// Where entries between the newest and the last trip have no line, a line says how many; where all have one, none does.
func TestLeftOutBeforeTheLastTrip(t *testing.T) {
	for _, c := range []struct {
		events int
		want   string
	}{
		{7, "7 6 5 4 3 2 1 Trip "},
		{8, "8 7 6 5 4 3 … 2 older entries not shown Trip "},
		{30, "30 29 28 27 26 25 … 24 older entries not shown Trip "},
		{600, "600 599 598 597 596 595 … more than 494 older entries not shown Trip "},
	} {
		p, _ := pane(t, nil)
		q := hour(t)
		q.filter.words = ""
		p.take(q.ask(t.Context(), &leaveOutShelf{trip: q.from, events: c.events}))
		if got := p.list.words(); got != c.want {
			t.Errorf("after %d events %q, want %q", c.events, got, c.want)
		}
		if gap := p.list.lines[maxLines-2]; c.events > 7 && (gap.at.ControlWords() != "" || gap.again.Visible()) {
			t.Errorf("what is left out has a time %q, or is replayed", gap.at.ControlWords())
		}
	}
}

// After an event what is shown is looked up within two seconds, and otherwise every ten; the list that is opened again
// is the newest, although a line had the keyboard when it was left.
func TestWhenTheListIsLookedUp(t *testing.T) {
	p, now := pane(t, nil)
	q := hour(t)
	status := *now.Status
	show := func(tick uint64) bool {
		before := p.due
		p.Show(view.At(&status, tick, 0))
		return p.due > before && p.due == tick+askEvery
	}
	if !show(1001) {
		t.Error("nothing is looked up when it is opened")
	}
	for tick := uint64(1003); tick < 1101; tick += 2 {
		if show(tick) {
			t.Fatalf("looked up at tick %d, after %d", tick, 1001)
		}
	}
	if !show(1101) {
		t.Error("not looked up after ten seconds")
	}
	status.LastEvent++
	if show(1111) || show(1113) || !show(1111+askAfter+1) {
		t.Error("not looked up just after an event")
	}
	q.follows = true
	p.list.anew = false
	p.take(answer{question: q, entries: entriesAt(q, 3)})
	p.list.lines[0].again.FocusGained()
	p.take(answer{question: q, entries: entriesAt(q, 4, 3)})
	p.Show(view.At(&status, 2000, 0))
	p.take(answer{question: q, entries: entriesAt(q, 5, 4, 3)})
	if got := p.list.words(); got != "5 4 3      " {
		t.Errorf("opened again it lists %q", got)
	}
}

// The ends of a short time are told to the second.
func TestEndsOfTheTimeShown(t *testing.T) {
	q := hour(t)
	for span, want := range map[time.Duration]string{time.Minute: "16:59:00 17:00:00", time.Hour: "16:00 17:00"} {
		p, _ := pane(t, nil)
		q.from = q.to.Add(-span)
		p.take(answer{question: q})
		if got := p.from.ControlWords() + " " + p.until.ControlWords(); got != want {
			t.Errorf("%v: %q, want %q", span, got, want)
		}
	}
}

// A trip is looked for over a day where less is shown, and not at all where only other kinds are listed.
func TestWhereTheLastTripIsLookedFor(t *testing.T) {
	q := hour(t)
	for _, c := range []struct {
		span, back time.Duration
		kinds      []journal.What
		last       int
	}{
		{time.Hour, 24 * time.Hour, nil, 1},
		{48 * time.Hour, 48 * time.Hour, nil, 1},
		{time.Hour, 24 * time.Hour, []journal.What{journal.WhatTrip}, 1},
		{time.Hour, 0, []journal.What{journal.WhatNote}, 0},
	} {
		q.from, q.filter.kinds = q.to.Add(-c.span), c.kinds
		s := shelfOf(q)
		a := q.ask(t.Context(), s)
		f := journal.Filter{}
		if at := slices.IndexFunc(s.filters, func(f journal.Filter) bool { return f.Max == 1 }); at >= 0 {
			f = s.filters[at]
		}
		if len(a.last) != c.last || c.last > 0 && (q.to.Sub(f.From) != c.back || f.Max != 1 || f.Words != "link") {
			t.Errorf("%v of %v: %d found with %+v", c.span, c.kinds, len(a.last), f)
		}
	}
}

// stopShelf has the records of one Stop.
type stopShelf struct {
	shelf
	at time.Time
}

func (s *stopShelf) Entries(context.Context, journal.Filter) ([]journal.Entry, error) {
	return []journal.Entry{{What: journal.WhatLockOut, At: s.at, Words: "stopped by the operator"},
		{What: journal.WhatEvent, At: s.at, Words: "Stopped by the operator"}}, nil
}

// A Stop is listed once, as a lock-out that is replayed; its event says the same. It is no trip.
func TestAStopIsListedOnce(t *testing.T) {
	at := time.Unix(1_800_000_000, 0)
	q := question{readings: []journal.Series{seriesOf(t, "drive_supply_v")}, from: at.Add(-time.Minute),
		to: at.Add(time.Minute)}
	a := q.ask(t.Context(), &stopShelf{at: at})
	p, _ := pane(t, nil)
	if p.list.show(a, at); !p.list.lines[0].again.Visible() {
		t.Error("it is not replayed")
	}
	entries := a.entries
	if len(entries) != 1 || entries[0].What != journal.WhatLockOut || entries[0].Words != "Stopped by the operator" {
		t.Errorf("%+v", entries)
	}
}
