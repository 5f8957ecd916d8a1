package desk

import (
	"testing"
	"time"
)

// settable is a time of the sky whose scale is set.
type settable int

func (s *settable) Scale() int     { return int(*s) }
func (s *settable) SetScale(n int) { *s = settable(n) }

// A reading is of one trace with the one before where that came within sameTrace, and spans the time of the sky since,
// by the faster of the two time scales; after a longer pause it begins a new trace.
func TestReadingsOfOneTrace(t *testing.T) {
	var times settable
	d := &Runner{skyTime: &times}
	now := time.Second
	for _, row := range []struct {
		after time.Duration
		scale int
		want  time.Duration
	}{
		{0, 1, 0},
		{100 * time.Millisecond, 1, 100 * time.Millisecond},
		{100 * time.Millisecond, 60, 6 * time.Second},
		{100 * time.Millisecond, 60, 6 * time.Second},
		{200 * time.Millisecond, 1, 12 * time.Second},
		{100 * time.Millisecond, 1, 100 * time.Millisecond},
		{sameTrace, 1, sameTrace},
		{sameTrace + time.Millisecond, 1, 0},
	} {
		now += row.after
		times.SetScale(row.scale)
		d.show(Measured{Now: now}, false)
		if got := d.noise[len(d.noise)-1].Since; got != row.want {
			t.Errorf("%v after the one before, time × %d: since %v, want %v", row.after, row.scale, got, row.want)
		}
	}
}
