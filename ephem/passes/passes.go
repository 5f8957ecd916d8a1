// Package passes says when a target is up at a station, and when at several
// stations at once. The centre of the disc counts.
package passes

import (
	"fmt"
	"math"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/crossing"

	"github.com/soniakeys/unit"
)

// Station is a place with its air and horizon.
type Station struct {
	Site ephem.Site
	Air  ephem.Air
	// Least is the least useful elevation, as seen through the air.
	Min unit.Angle
	// Horizon is the surveyed horizon: elevations as seen, evenly spaced over a turn of
	// azimuth from north; straight lines between. Empty: none.
	Horizon []unit.Angle
}

// Validate says what is wrong with a station.
func (s Station) Validate() error {
	if err := s.Site.Validate(); err != nil {
		return err
	}
	if err := s.Air.Validate(); err != nil {
		return err
	}
	for _, el := range append([]unit.Angle{s.Min}, s.Horizon...) {
		if !(math.Abs(el.Deg()) <= 90) {
			return fmt.Errorf("minimum elevation %v is not within -90 to 90 degrees", el.Deg())
		}
	}
	return nil
}

// Pass is a stretch of time during which a target is up.
type Pass struct {
	// Rise and Set are where it begins and ends. With CutRise it was up already
	// when the span began, and Rise is the beginning of the span; likewise CutSet.
	Rise, Set       time.Time
	CutRise, CutSet bool
	// RiseAz and SetAz are the azimuths then, at the (first) station.
	RiseAz, SetAz unit.Angle
	// Highest is when the (first) station sees it highest, at HighestEl, as seen.
	Highest   time.Time
	HighestEl unit.Angle
}

const (
	// structureStep in seconds is the search step among a surveyed horizon's ups and
	// downs; visits shorter than that between them may be overlooked.
	structureStep = 20
	// highestStep in seconds: within two of them an elevation has one maximum.
	highestStep = 3600
)

// Of returns the passes of a body over a station between two instants, in order.
func Of(sky *ephem.Sky, body ephem.Body, station Station, from, to time.Time) []Pass {
	return finished(sky, body, station, spans(sky, body, station, from, to), from, to)
}

// Shared returns the stretches during which the body is up at a station and at all of its
// partners. Azimuths and highest are those of the station.
func Shared(sky *ephem.Sky, body ephem.Body, station Station, partners []Station, from, to time.Time) []Pass {
	all := spans(sky, body, station, from, to)
	for _, partner := range partners {
		all = both(all, spans(sky, body, partner, from, to))
	}
	return finished(sky, body, station, all, from, to)
}

// span is a stretch of time, in seconds from the beginning of the search.
type span struct{ begin, end float64 }

// both returns what two ordered lists have in common.
func both(a, b []span) []span {
	var common []span
	for len(a) > 0 && len(b) > 0 {
		one := span{max(a[0].begin, b[0].begin), min(a[0].end, b[0].end)}
		if one.begin < one.end {
			common = append(common, one)
		}
		if a[0].end < b[0].end {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
	return common
}

// spans returns when the body is up.
func spans(sky *ephem.Sky, body ephem.Body, station Station, from, to time.Time) []span {
	return stretches(searchOf(sky, body, station, from), to.Sub(from).Seconds())
}

// stretches returns where the margin of a search is positive, from 0 to a length.
func stretches(search crossing.Search, length float64) []span {
	if !(length > 0) {
		return nil
	}
	var all []span
	margin, _ := search.Margin(0)
	up, begin := margin >= 0, 0.0
	for at := 0.0; ; {
		next, found := search.Next(at, length)
		if !found {
			break
		}
		if up {
			all = append(all, span{begin, next})
		}
		up, begin, at = !up, next, next
	}
	if up {
		all = append(all, span{begin, length})
	}
	return all
}

// searchOf sets up the search for rise and set.
func searchOf(sky *ephem.Sky, body ephem.Body, station Station, from time.Time) crossing.Search {
	fastest := ephem.FastestClimb(station.Site, body)
	h := horizonOf(station)
	search := crossing.Search{Step: ephem.SearchStep, Margin: func(at float64) (margin, clear float64) {
		look := sky.Look(station.Site, body, after(from, at))
		margin = (look.El - h.at(look.Az)).Rad()
		// Above the highest and below the lowest of the horizon it can't cross
		// before it has come there.
		return margin, max(0, (look.El-h.highest).Rad(), (h.lowest-look.El).Rad()) / fastest
	}}
	if h.highest > h.lowest {
		search.Step = structureStep
	}
	return search
}

// horizon is a station's least elevation by azimuth, airless.
type horizon struct {
	airless         []unit.Angle
	lowest, highest unit.Angle
}

func horizonOf(station Station) horizon {
	minimum := station.Air.Airless(station.Min)
	h := horizon{airless: []unit.Angle{minimum}, lowest: minimum, highest: minimum}
	if len(station.Horizon) == 0 {
		return h
	}
	h.airless = make([]unit.Angle, len(station.Horizon))
	for i, el := range station.Horizon {
		h.airless[i] = max(minimum, station.Air.Airless(el))
		if i == 0 {
			h.lowest, h.highest = h.airless[0], h.airless[0]
		}
		h.lowest, h.highest = min(h.lowest, h.airless[i]), max(h.highest, h.airless[i])
	}
	return h
}

func (h *horizon) at(az unit.Angle) unit.Angle {
	count := len(h.airless)
	if count == 1 {
		return h.airless[0]
	}
	place := az.Rad() / (2 * math.Pi) * float64(count)
	before := math.Floor(place)
	part := place - before
	i := (int(before)%count + count) % count
	return h.airless[i].Mul(1-part) + h.airless[(i+1)%count].Mul(part)
}

// finished adds azimuths and the highest moment.
func finished(sky *ephem.Sky, body ephem.Body, station Station, all []span, from, to time.Time) []Pass {
	length := to.Sub(from).Seconds()
	look := func(at float64) ephem.Look { return sky.Look(station.Site, body, after(from, at)) }
	list := make([]Pass, len(all))
	for i, one := range all {
		highest := crossing.Greatest(func(at float64) float64 { return look(at).El.Rad() }, one.begin, one.end,
			highestStep)
		list[i] = Pass{
			Rise: after(from, one.begin), CutRise: one.begin <= 0, RiseAz: look(one.begin).Az,
			Set: after(from, one.end), CutSet: one.end >= length, SetAz: look(one.end).Az,
			Highest: after(from, highest), HighestEl: station.Air.Refracted(look(highest).El),
		}
	}
	return list
}

// after adds seconds to an instant.
func after(from time.Time, seconds float64) time.Time {
	return from.Add(time.Duration(math.Round(seconds * 1e9)))
}
