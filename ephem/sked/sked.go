// Package sked ranks the times that stations share the Moon, for appointments between them. Pure.
//
// The figure of merit is what is left of the best possible (the Moon at its mean perigee, a cold sky behind it, both
// stations looking straight up, feeds that match, a spread that the mode doesn't notice) after losses that add up,
// each in dB and each stated: see Losses.
package sked

import (
	"slices"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
	"beamhelm/ephem/passes"

	"github.com/soniakeys/unit"
)

// Station is one that takes part, with the least elevation at which it uses the Moon.
type Station struct {
	passes.Station
	Name         string
	Polarisation partner.Polarisation
	// Listener is what another station hears with, its place left out, and ColdK its ColdK; without a pattern it is
	// taken to hear as ours would.
	Listener budget.Listener
	ColdK    float64
}

// Question is what is looked for.
type Question struct {
	Here  Station
	There []Station // at least one; all of them at once
	Hz    float64
	// Listener is what we hear with; the others over level ground. Without a pattern noise isn't counted. ColdK is the
	// listener's ColdK.
	Listener budget.Listener
	ColdK    float64
	SunLeft  unit.Angle    // least angle between Moon and Sun, from each station
	Shortest time.Duration // of a window
	// ToleratedHz is the spread, limb to limb, that the mode doesn't notice; 0: any.
	ToleratedHz float64
	// Steady is for how long the dial stays as it is, while the Doppler shift drifts: a period of the contact.
	Steady   time.Duration
	From, To time.Time
}

// Window is a time in which all stations have the Moon, far enough from the Sun. One that the span cuts goes on beyond.
type Window struct {
	From, To       time.Time
	CutFrom, CutTo bool
}

// Sked is a window with its best time, and what is then.
type Sked struct {
	Window
	Best   time.Time // to the minute
	El     unit.Angle
	SunOff unit.Angle // the least at any of the stations
	Ends   []End      // as in the question
	// Worst is the end that loses most: its losses are those of the window.
	Worst   int
	Samples []Sample
}

// End is the path to one of the stations at the best time.
type End struct {
	Name string
	El   unit.Angle // there, as seen
	// DopplerHz is received here minus sent there when nobody corrects, DriftHzPerS its change.
	DopplerHz, DriftHzPerS float64
	SpreadHz               float64 // limb to limb
	// Spatial is the angle between the two feeds, here minus there, from -90 to +90 degrees; 0 unless both are linear.
	Spatial unit.Angle
	Losses
}

// Sample is a moment of a window, at each full quarter of an hour.
type Sample struct {
	At      time.Time
	Az, El  unit.Angle // here, as seen
	TotalDB float64    // of the end that loses most
}

// SampleEvery is the time between two samples.
const SampleEvery = 15 * time.Minute

// Losses returns the losses of a window at its best time.
func (s *Sked) Losses() Losses { return s.Ends[s.Worst].Losses }

// Spans returns the windows of a question, in order.
func Spans(sky *ephem.Sky, q *Question) []Window {
	moon := ephem.MoonBody()
	var there []passes.Station
	for _, s := range q.There {
		there = append(there, s.Station)
	}
	var list []Window
	for _, p := range passes.Shared(sky, moon, q.Here.Station, there, q.From, q.To) {
		list = append(list, Window{p.Rise, p.Set, p.CutRise, p.CutSet})
	}
	for _, s := range append([]passes.Station{q.Here.Station}, there...) {
		for _, near := range passes.SunNear(sky, moon, s, q.SunLeft, q.From, q.To) {
			list = without(list, near.Rise, near.Set)
		}
	}
	return slices.DeleteFunc(list, func(w Window) bool { return w.To.Sub(w.From) < q.Shortest || !w.From.Before(w.To) })
}

// without takes a stretch of time out of windows.
func without(list []Window, from, to time.Time) (left []Window) {
	for _, w := range list {
		if !from.Before(w.To) || !to.After(w.From) {
			left = append(left, w)
			continue
		}
		if from.After(w.From) {
			left = append(left, Window{w.From, from, w.CutFrom, false})
		}
		if to.Before(w.To) {
			left = append(left, Window{to, w.To, false, w.CutTo})
		}
	}
	return left
}

// Judge finds the best time of a window, to the minute, and what is then.
func Judge(sky *ephem.Sky, galaxy *noise.Sky, q *Question, w Window) Sked {
	j := judge{sky, galaxy, q}
	s := Sked{Window: w}
	best, minimum := w.From, j.total(w.From)
	consider := func(at time.Time) bool {
		if at.Before(w.From) || at.After(w.To) {
			return false
		}
		total := j.total(at)
		if total >= minimum {
			return false
		}
		best, minimum = at, total
		return true
	}
	consider(w.To)
	for at := w.From.Truncate(SampleEvery).Add(SampleEvery); at.Before(w.To); at = at.Add(SampleEvery) {
		total := j.total(at)
		if total < minimum {
			best, minimum = at, total
		}
		az, el := j.place(&q.Here, at)
		s.Samples = append(s.Samples, Sample{at, az, el, total})
	}
	for by := 8 * time.Minute; by >= time.Minute; by /= 2 {
		if !consider(best.Add(by)) {
			consider(best.Add(-by))
		}
	}
	j.describe(&s, best)
	return s
}

// All answers a question: every window, the best first.
func All(sky *ephem.Sky, galaxy *noise.Sky, q *Question) []Sked {
	var list []Sked
	for _, w := range Spans(sky, q) {
		list = append(list, Judge(sky, galaxy, q, w))
	}
	Rank(list)
	return list
}

// Rank puts the best first; of equals, the earlier.
func Rank(list []Sked) {
	slices.SortStableFunc(list, func(a, b Sked) int {
		switch x, y := a.Losses().TotalDB(), b.Losses().TotalDB(); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a.From.Compare(b.From)
	})
}

// describe fills in what is at a moment.
func (j *judge) describe(s *Sked, at time.Time) {
	q := j.q
	s.Best, s.El = at, j.elevation(&q.Here, at)
	s.SunOff = j.sunOff(&q.Here, at)
	s.Ends = j.ends(at)
	for i := range s.Ends {
		e, there := &s.Ends[i], q.There[i]
		path := echo.PathTo(j.sky, there.Site, q.Here.Site, at)
		e.DopplerHz = path.DopplerHz(q.Hz)
		s.SunOff = min(s.SunOff, j.sunOff(&there, at))
		if e.TotalDB() > s.Ends[s.Worst].TotalDB() {
			s.Worst = i
		}
	}
}
