package records

import (
	"context"
	"math"
	"sort"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/view"
)

// past is what the records hold of the time around a trip: where the dish was, five times a second while it moved, and
// each second the levels of the noise strip, from as long before as the strip is long.
type past struct {
	places []journal.Place // never none, while it is shown
	heard  []desk.NoiseSample
	second map[int64]second
}

// second is what was read in a second; NaN what wasn't.
type second struct {
	levelDB, overColdDB, keyed float64
	currentA                   [2]float64
}

// readings that are looked up, in the order of the fields of second.
func readings() []string {
	return []string{"noise_db", "noise_over_cold_db", "keyed", "azimuth_current_a", "elevation_current_a"}
}

func (s *second) fields() [5]*float64 {
	return [5]*float64{&s.levelDB, &s.overColdDB, &s.keyed, &s.currentA[0], &s.currentA[1]}
}

// lookBack reads the past around a trip.
func lookBack(ctx context.Context, source Source, trip time.Time) (p past, err error) {
	from, to := trip.Add(-replayBefore), trip.Add(replayAfter)
	if p.places, err = source.Places(ctx, from, to, maxPlaces); err != nil || len(p.places) == 0 {
		return p, err
	}
	from = from.Add(-view.NoiseTime)
	trends, err := source.Trends(ctx, readings(), from, to, int(to.Sub(from).Seconds())+1)
	if err != nil {
		return p, err
	}
	p.read(trends)
	return p, nil
}

// read takes in the readings of each second.
func (p *past) read(trends []journal.Trend) {
	nan := math.NaN()
	p.second = map[int64]second{}
	for i, t := range trends {
		for _, point := range t.Points {
			at := point.At.Unix()
			s, has := p.second[at]
			if !has {
				s = second{nan, nan, nan, [2]float64{nan, nan}}
			}
			*s.fields()[i] = point.Mean
			p.second[at] = s
		}
	}
	var all []int64
	for at := range p.second {
		all = append(all, at)
	}
	sort.Slice(all, func(i, k int) bool { return all[i] < all[k] })
	for i, at := range all {
		s := p.second[at]
		n := desk.NoiseSample{At: time.Unix(at, 0).UTC(), LevelDB: s.levelDB, Clean: !math.IsNaN(s.levelDB),
			Keyed: s.keyed > 0}
		if i > 0 && at-all[i-1] <= 2 {
			n.Since = time.Duration(at-all[i-1]) * time.Second
		}
		p.heard = append(p.heard, n)
	}
}

func (p *past) begin() time.Time { return p.places[0].At }

func (p *past) end() time.Time { return p.places[len(p.places)-1].At }

// within is the moment nearest to one that is replayed.
func (p *past) within(at time.Time) time.Time {
	if at.Before(p.begin()) {
		return p.begin()
	}
	if at.After(p.end()) {
		return p.end()
	}
	return at
}

// placeAt is where the dish was at a moment, between two records.
func (p *past) placeAt(at time.Time) journal.Place {
	i := sort.Search(len(p.places), func(i int) bool { return p.places[i].At.After(at) })
	if i == 0 {
		return p.places[0]
	}
	a := p.places[i-1]
	if i == len(p.places) || p.places[i].At.Sub(a.At) > time.Second {
		return a
	}
	b := p.places[i]
	part := at.Sub(a.At).Seconds() / b.At.Sub(a.At).Seconds()
	for _, f := range [][2]*float64{{&a.AzPositionDeg, &b.AzPositionDeg}, {&a.ElPositionDeg, &b.ElPositionDeg},
		{&a.AzSetpointDeg, &b.AzSetpointDeg}, {&a.ElSetpointDeg, &b.ElSetpointDeg}, {&a.OffDeg, &b.OffDeg}} {
		*f[0] += (*f[1] - *f[0]) * part
	}
	return a
}

// secondAt is what was read in the second of a moment, or in the one before.
func (p *past) secondAt(at time.Time) second {
	for _, back := range [...]int64{0, 1} {
		if s, has := p.second[at.Unix()-back]; has {
			return s
		}
	}
	nan := math.NaN()
	return second{nan, nan, nan, [2]float64{nan, nan}}
}

// withoutArcs is a scene without what moves in it: the way of the target, Moon and Sun is that of now.
func withoutArcs(scene *desk.Scene) *desk.Scene {
	if scene == nil {
		return nil
	}
	still := *scene
	still.Arcs = nil
	return &still
}

// then is a status of a moment of the past. It has what was recorded, and of now only what doesn't change: the site and
// the axes that are there. All else is left out, so that nothing of now can be taken for it.
func (p *past) then(now view.Now, scene *desk.Scene, place journal.Place, at time.Time) view.Now {
	read := p.secondAt(at)
	s := desk.Status{At: at, Practice: now.Practice, Station: now.Station, Scene: scene, Moving: true,
		Band: desk.Band{HalfPower: now.Band.HalfPower}, Off: unit.AngleFromDeg(place.OffDeg)}
	s.Link.Heard = true
	s.Transmit.Keyed = place.Keyed
	for i, f := range [2]struct{ position, setpoint, drive float64 }{
		{place.AzPositionDeg, place.AzSetpointDeg, place.AzDrivePercent},
		{place.ElPositionDeg, place.ElSetpointDeg, place.ElDrivePercent},
	} {
		a := &s.Axes[i]
		a.Fitted, a.CurrentA, a.Applied = now.Axes[i].Fitted, read.currentA[i], f.drive/100
		a.Moving = f.drive != 0
		if a.Trusted = !math.IsNaN(f.position); a.Trusted {
			a.Position = unit.AngleFromDeg(f.position)
		}
		if a.HasSetpoint = !math.IsNaN(f.setpoint); a.HasSetpoint {
			a.Setpoint = unit.AngleFromDeg(f.setpoint)
		}
	}
	s.Noise.Fitted, s.Noise.LevelDB, s.Noise.Clean = true, read.levelDB, !math.IsNaN(read.levelDB)
	if cold := read.levelDB - read.overColdDB; !math.IsNaN(cold) {
		s.Noise.HasCold, s.Noise.ColdDB, s.Noise.ColdAt = true, cold, at
	}
	past := now
	past.Status, past.Live, past.Full = &s, false, true
	past.Replay, past.Heard = view.ReplayWords(at), p.heard
	return past
}
