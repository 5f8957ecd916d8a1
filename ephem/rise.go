package ephem

import (
	"math"
	"time"

	"beamhelm/ephem/crossing"

	"github.com/soniakeys/unit"
)

// NextRise returns the first instant after from, and not after from+limit, at
// which the body's centre comes up through an elevation as seen through the air.
// It is right to a millisecond of the model, and finds visits of any length.
func (s *Sky) NextRise(site Site, body Body, air Air, minEl unit.Angle, from time.Time,
	limit time.Duration) (time.Time, bool) {
	return s.nextCrossing(site, body, air.Airless(minEl), from, limit, true)
}

// NextSet is NextRise for going down.
func (s *Sky) NextSet(site Site, body Body, air Air, minEl unit.Angle, from time.Time,
	limit time.Duration) (time.Time, bool) {
	return s.nextCrossing(site, body, air.Airless(minEl), from, limit, false)
}

func (s *Sky) nextCrossing(site Site, body Body, minimum unit.Angle, from time.Time, limit time.Duration,
	rising bool) (time.Time, bool) {
	fastest := FastestClimb(site, body)
	search := crossing.Search{Step: SearchStep, Margin: func(at float64) (margin, clear float64) {
		margin = (s.Look(site, body, after(from, at)).El - minimum).Rad()
		return margin, math.Abs(margin) / fastest
	}}
	margin, _ := search.Margin(0)
	up := margin >= 0
	for begin := 0.0; ; {
		at, found := search.Next(begin, limit.Seconds())
		if !found {
			return time.Time{}, false
		}
		if up = !up; up == rising {
			return after(from, at), true
		}
		begin = at
	}
}

// SearchStep is the least step, in seconds, with which a body's elevation is
// searched for crossings: within it the elevation looks like a parabola.
const SearchStep = 60

// Highest returns the instant, from from to to, at which the body stands highest,
// to a hundredth of a second.
func (s *Sky) Highest(site Site, body Body, from, to time.Time) time.Time {
	el := func(at float64) float64 { return s.Look(site, body, after(from, at)).El.Rad() }
	return after(from, crossing.Greatest(el, 0, to.Sub(from).Seconds(), 3600))
}

// Geocentric returns a body's apparent place of date from the Earth's centre, and
// its geometric distance (0 for a FixedStar).
func (s *Sky) Geocentric(body Body, at time.Time) (ra, dec unit.Angle, distanceKm float64) {
	h := s.heavens(s.moment(at))
	look := h.lookFrom(vantage{}, body)
	return look.RA, look.Dec, look.DistanceKm
}

// FastestClimb bounds the rate of a body's elevation at a site, radians per second:
// the Earth's turn, made larger by the Moon's nearness, and the body's own motion.
func FastestClimb(site Site, body Body) float64 {
	own := 0.06 * degree / 3600
	if body.Kind == Moon {
		own = 0.75 * degree / 3600
	}
	return 1.03*earthSpin*math.Abs(site.Lat.Cos()) + own
}

// after adds seconds to an instant.
func after(from time.Time, seconds float64) time.Time {
	return from.Add(time.Duration(math.Round(seconds * 1e9)))
}
