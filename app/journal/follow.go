package journal

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"time"

	"beamhelm/app/desk"
	"beamhelm/ending"
)

// Desk is what a journal follows.
type Desk interface {
	Status() *desk.Status
	EventsSince(number uint64, into []desk.Event) []desk.Event
}

// followEvery is how often the desk is looked at: as often as it steps.
const followEvery = 100 * time.Millisecond

// Follow records a desk until the context ends: its statuses, all its events,
// and its trips with what tripRecord writes of the newest one.
func (j *Journal) Follow(ctx context.Context, d Desk, tripRecord func(io.Writer) error) {
	ticker := time.NewTicker(followEvery)
	defer ticker.Stop()
	f := follower{journal: j, desk: d, tripRecord: tripRecord}
	for {
		ending.Here("recording")
		f.step()
		select {
		case <-ctx.Done():
			f.step()
			return
		case <-ticker.C:
		}
	}
}

// follower looks for what is new at the desk.
type follower struct {
	journal    *Journal
	desk       Desk
	tripRecord func(io.Writer) error
	event      uint64
	locked     bool
	buffer     []desk.Event
	results    results
}

func (f *follower) step() {
	s := f.desk.Status()
	f.journal.Take(s)
	f.buffer = f.desk.EventsSince(f.event, f.buffer[:0])
	for _, e := range f.buffer {
		f.event = e.Number
		f.journal.Event(e)
	}
	if s.Lock.Locked && !f.locked {
		t := Trip{At: s.At, Stopped: s.Lock.Stopped, Cause: s.Lock.Cause.String(), Next: s.Lock.Next.String()}
		var record bytes.Buffer
		if err := f.tripRecord(&record); err == nil {
			t.Record = record.Bytes()
		} else {
			f.journal.say(gapRow{s.At, fmt.Sprintf("the trip is recorded without its last minute: %v", err)})
		}
		f.journal.Trip(t)
	}
	f.locked = s.Lock.Locked
	for _, r := range f.results.news(s) {
		f.journal.Result(r)
	}
}
