package measuring

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/level"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
)

// A peak or a Y factor goes on only with the target, band, feed and trim that it began with, and with levels that can
// be relied on: each end is told by its own words.
func TestWhatHindersAMeasurement(t *testing.T) {
	target := func(kind station.BodyKind) station.Target {
		return station.Target{BodyChoice: station.BodyChoice{Kind: kind}}
	}
	for name, row := range map[string]struct {
		change func(*work)
		why    message.Code
	}{
		"nothing":     {func(*work) {}, ""},
		"no tracking": {func(w *work) { w.in.Tracking = false }, "measuring.tracking-ended"},
		"target":      {func(w *work) { w.in.Target = target(station.Sun) }, "measuring.target-changed"},
		"band":        {func(w *work) { w.in.Band++ }, "measuring.target-changed"},
		"feed":        {func(w *work) { w.in.Feed++ }, "measuring.target-changed"},
		"trim": {func(w *work) { w.in.Beam.Chain.Trim.El += unit.AngleFromDeg(0.1) },
			"desk.trim-changed"},
		"levels in time": {func(w *work) { w.in.Now += peakAlone }, ""},
		"no levels":      {func(w *work) { w.in.Now += peakAlone + 1 }, "measuring.no-level"},
		"no levels, but the leg is new": {func(w *work) {
			w.s.Peak.SoundAt, w.in.Now = 0, w.in.Now+peakAlone
		}, ""},
		"flawed levels": {func(w *work) {
			w.s.Peak.Flaw, w.in.Now = level.Overloaded, w.in.Now+peakAlone+1
		}, "level.overloaded"},
	} {
		const at = time.Minute
		in := Inputs{Now: at, Dish: Dish{Tracking: true, Target: target(station.Moon), Band: 1, Feed: 2}}
		var s State
		s.Peak.Flaw, s.Peak.SoundAt = level.Sound, at
		w := &work{s: &s, in: &in}
		of := w.subject()
		row.change(w)
		if why := w.hindered(&of, at); why.Code != row.why {
			t.Errorf("%s: %q, want %q", name, why, row.why)
		}
	}
}
