package alarm

import (
	"slices"
	"time"

	"beamhelm/app/message"
)

// Condition is something wrong now.
type Condition struct {
	// Key tells conditions apart; the same key is the same trouble.
	Key   string
	Grade Grade
	// Words say what, Next what the operator should do.
	Words, Next message.Message
	// Event says that it is told among the events too: nothing else tells of it there.
	Event bool
}

// Entry is a condition in the list: new, acknowledged, shelved until a moment, or cleared, unacknowledged.
type Entry struct {
	Condition
	Number       int
	Since        time.Time
	Acknowledged bool
	// Stands is false when it is over and waits to be seen.
	Stands bool
	// ShelvedUntil is the moment to which it stays acknowledged however often it comes
	// and goes, unless it becomes worse; zero when it isn't shelved.
	ShelvedUntil time.Time
}

// List is what stands or has not been seen: worst first, of these what stands now, then newest. It is a
// value: Update and See return a new one.
type List struct {
	Entries []Entry
	// Last is the number of the newest entry.
	Last int
}

// Update takes in all conditions that stand now. fresh are those that are new.
func (l List) Update(now time.Time, standing []Condition) (next List, fresh []Entry) {
	next.Last = l.Last
	for _, e := range l.Entries {
		at := slices.IndexFunc(standing, func(c Condition) bool { return c.Key == e.Key })
		muted := !e.ShelvedUntil.IsZero()
		if muted && !now.Before(e.ShelvedUntil) {
			// The time is up: what still stands has to be seen again.
			e.ShelvedUntil, e.Acknowledged, muted = time.Time{}, !e.Stands, false
		}
		switch {
		case at >= 0:
			if standing[at].Grade > e.Grade {
				e.Acknowledged, e.ShelvedUntil = false, time.Time{} // it has become worse
			}
			e.Condition, e.Stands = standing[at], true
		case muted:
			e.Stands = false
		case e.Acknowledged:
			continue
		default:
			e.Stands = false
		}
		next.Entries = append(next.Entries, e)
	}
	for _, c := range standing {
		if slices.ContainsFunc(next.Entries, func(e Entry) bool { return e.Key == c.Key }) {
			continue
		}
		next.Last++
		e := Entry{Condition: c, Number: next.Last, Since: now, Stands: true}
		next.Entries = append(next.Entries, e)
		fresh = append(fresh, e)
	}
	slices.SortStableFunc(next.Entries, func(a, b Entry) int {
		switch {
		case a.Grade != b.Grade:
			return int(b.Grade) - int(a.Grade)
		case a.Stands != b.Stands && a.Stands:
			return -1
		case a.Stands != b.Stands:
			return 1
		}
		return b.Number - a.Number
	})
	return next, fresh
}

// Shelve shelves the entry with a number until a moment.
func (l List) Shelve(number int, until time.Time) List {
	l.Entries = slices.Clone(l.Entries)
	for i := range l.Entries {
		if l.Entries[i].Number == number {
			l.Entries[i].Acknowledged, l.Entries[i].ShelvedUntil = true, until
		}
	}
	return l
}

// See marks the entry with a number, or with -1 all of them, as seen; what is
// over and seen leaves the list.
func (l List) See(number int) List {
	next := List{Last: l.Last}
	for _, e := range l.Entries {
		if number == -1 || e.Number == number {
			e.Acknowledged = true
		}
		if e.Acknowledged && !e.Stands && e.ShelvedUntil.IsZero() {
			continue
		}
		next.Entries = append(next.Entries, e)
	}
	return next
}
