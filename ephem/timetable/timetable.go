// Package timetable holds a target given as a table of times and directions, such as a
// satellite's or a beacon's, read from a CSV file.
package timetable

import (
	"math"
	"sort"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/rows"
	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

const (
	horizontal = "utc,az_deg,el_deg"
	equatorial = "utc,ra_deg,dec_deg"

	// MostGap is the longest time between two rows.
	MostGap = 10 * time.Minute
	// mostStep is the largest angle between two rows; beyond it the way between is a guess.
	mostStep = 10 * math.Pi / 180
)

// Timetable is a target's directions at ever later times. Between its rows it goes on a smooth curve,
// beyond them it is nowhere.
type Timetable struct {
	equatorial bool // right ascension and declination, J2000; otherwise azimuth and elevation as seen
	times      []time.Time
	directions []space.Vector
}

// Read reads a table: CSV with the header utc,az_deg,el_deg (as seen, with refraction) or
// utc,ra_deg,dec_deg (J2000), times as RFC 3339, at least two rows. Rows must follow
// each other in time by at most 10 minutes and 10 degrees. The error is a rows.Error.
func Read(text []byte) (*Timetable, error) {
	header, list, err := rows.Read(text, horizontal, equatorial)
	if err != nil {
		return nil, err
	}
	t := &Timetable{equatorial: header == equatorial}
	for _, row := range list {
		if row.Err != nil {
			return nil, rows.Errorf(row.Line, "%v", row.Err)
		}
		if err := t.add(row); err != nil {
			return nil, rows.Errorf(row.Line, "%v", err)
		}
	}
	if len(t.times) < 2 {
		return nil, rows.Errorf(1, "%d rows, at least 2 are needed", len(t.times))
	}
	return t, nil
}

// add appends a row after looking at it.
func (t *Timetable) add(row rows.Row) error {
	at, err := rows.Instant(row.Fields[0])
	if err != nil {
		return err
	}
	along, err := degrees(row.Fields[1], 0, 360, t.equatorial, "right ascension", "azimuth")
	if err != nil {
		return err
	}
	up, err := degrees(row.Fields[2], -90, 90, t.equatorial, "declination", "elevation")
	if err != nil {
		return err
	}
	direction := space.Direction(along, up)
	if last := len(t.times) - 1; last >= 0 {
		if err := follows(t.times[last], at, space.Angle(t.directions[last], direction)); err != nil {
			return err
		}
	}
	t.times, t.directions = append(t.times, at), append(t.directions, direction)
	return nil
}

// Span returns the first and the last instant of the table.
func (t *Timetable) Span() (first, last time.Time) { return t.times[0], t.times[len(t.times)-1] }

// Direction returns where the target is seen from a site, azimuth and elevation as seen
// through the air; not ok before the first and after the last row.
func (t *Timetable) Direction(sky *ephem.Sky, site ephem.Site, air ephem.Air, at time.Time) (az, el unit.Angle, ok bool) {
	first, last := t.Span()
	if at.Before(first) || at.After(last) {
		return 0, 0, false
	}
	along, up := t.between(at).Spherical()
	if !t.equatorial {
		return along, up, true
	}
	look := sky.Look(site, ephem.Star("", along, up), at)
	return look.Az, air.Refracted(look.El), true
}

// between interpolates: a cubic through the two rows around an instant, with the slopes that
// their neighbours give.
func (t *Timetable) between(at time.Time) space.Vector {
	next := sort.Search(len(t.times), func(i int) bool { return t.times[i].After(at) })
	next = min(next, len(t.times)-1)
	i := next - 1
	length := t.times[next].Sub(t.times[i]).Seconds()
	x := at.Sub(t.times[i]).Seconds() / length
	a, b := t.directions[i], t.directions[next]
	slopeA, slopeB := t.slope(i).Times(length), t.slope(next).Times(length)
	return a.Times((1 + 2*x) * (1 - x) * (1 - x)).Plus(slopeA.Times(x * (1 - x) * (1 - x))).
		Plus(b.Times(x * x * (3 - 2*x))).Plus(slopeB.Times(x * x * (x - 1)))
}

// slope is the rate of the direction at a row, per second: of the parabola through it and
// its neighbours, at the ends of the one step there is.
func (t *Timetable) slope(i int) space.Vector {
	step := func(i int) (space.Vector, float64) {
		seconds := t.times[i+1].Sub(t.times[i]).Seconds()
		return t.directions[i+1].Minus(t.directions[i]).Times(1 / seconds), seconds
	}
	switch i {
	case 0:
		rate, _ := step(0)
		return rate
	case len(t.times) - 1:
		rate, _ := step(i - 1)
		return rate
	}
	before, left := step(i - 1)
	later, right := step(i)
	return before.Times(right / (left + right)).Plus(later.Times(left / (left + right)))
}
