package measuring

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/level"
	"beamhelm/app/desk/station"
)

// A peak or a Y factor goes on only with the target, band, feed and trim that it began with, and with levels that can
// be relied on: each end is told by its own words.
func TestWhatHindersAMeasurement(t *testing.T) {
	target := func(kind station.BodyKind) station.Target {
		return station.Target{BodyChoice: station.BodyChoice{Kind: kind}}
	}
	for name, row := range map[string]struct {
		change func(*work)
		why    string
	}{
		"nothing":     {func(*work) {}, ""},
		"no tracking": {func(w *work) { w.in.Tracking = false }, "tracking has ended"},
		"target":      {func(w *work) { w.in.Target = target(station.Sun) }, "target or band has changed"},
		"band":        {func(w *work) { w.in.Band++ }, "target or band has changed"},
		"feed":        {func(w *work) { w.in.Feed++ }, "target or band has changed"},
		"trim": {func(w *work) { w.in.Beam.Chain.Trim.El += unit.AngleFromDeg(0.1) },
			"the trim has been changed meanwhile"},
		"levels in time": {func(w *work) { w.in.Now += peakAlone }, ""},
		"no levels":      {func(w *work) { w.in.Now += peakAlone + 1 }, "no level came"},
		"no levels, but the leg is new": {func(w *work) {
			w.s.Peak.SoundAt, w.in.Now = 0, w.in.Now+peakAlone
		}, ""},
		"flawed levels": {func(w *work) {
			w.s.Peak.Flaw, w.in.Now = level.Overloaded, w.in.Now+peakAlone+1
		}, level.Overloaded.String()},
	} {
		const at = time.Minute
		in := Inputs{Now: at, Dish: Dish{Tracking: true, Target: target(station.Moon), Band: 1, Feed: 2}}
		var s State
		s.Peak.Flaw, s.Peak.SoundAt = level.Sound, at
		w := &work{s: &s, in: &in}
		of := w.subject()
		row.change(w)
		if why := w.hindered(&of, at); why != row.why {
			t.Errorf("%s: %q, want %q", name, why, row.why)
		}
	}
}
