package radio

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// Shading is the antenna temperature that the beam would have all over the sky. It is immutable.
type Shading struct {
	At time.Time
	// K is the temperature at the antenna's port: ShadingRows from the horizon upwards for each of
	// ShadingColumns azimuths from north.
	K [ShadingColumns][ShadingRows]float32
	// LowestK is the least of them.
	LowestK float64

	columns int // computed so far
}

// The grid of a Shading: every 4 degrees of azimuth, every 3 of elevation.
const (
	ShadingColumns  = 90
	ShadingRows     = 31
	shadingColumn   = 360.0 / ShadingColumns
	shadingRow      = 90.0 / (ShadingRows - 1)
	shadingAgeLimit = 3 * time.Minute // the sky turns by three quarters of a degree meanwhile
)

// AtK is the temperature, kelvin, with the axis at an azimuth and elevation; below the horizon that at 0, beyond the
// zenith that of the other side.
func (s *Shading) AtK(az, el unit.Angle) float64 {
	if el.Deg() > 90 {
		az, el = az+math.Pi, unit.AngleFromDeg(180-el.Deg())
	}
	column := az.Mod1().Deg() / shadingColumn
	row := min(max(el.Deg(), 0)/shadingRow, ShadingRows-1)
	c, r := int(column), min(int(row), ShadingRows-2)
	partC, partR := column-float64(c), row-float64(r)
	c %= ShadingColumns
	next := (c + 1) % ShadingColumns
	along := func(r int) float64 { return float64(s.K[c][r])*(1-partC) + float64(s.K[next][r])*partC }
	return along(r)*(1-partR) + along(r+1)*partR
}

// shadingState is what the desk carries of the shading.
type shadingState struct {
	On         bool
	band, feed int
	done, next *Shading
}

// SetShading starts or ends computing the noise over the sky.
func (s *State) SetShading(on bool) { s.Shading = shadingState{On: on} }

// shading brings the noise over the sky a step further: a column at a time. It is nil until all of it is known, and
// for an antenna whose noise isn't.
func (w *work) shading() *Shading {
	s := &w.s.Shading
	if !s.On || w.c.Galaxy == nil {
		return nil
	}
	if s.band != w.in.Band || s.feed != w.in.Feed {
		s.band, s.feed, s.done, s.next = w.in.Band, w.in.Feed, nil, nil
	}
	if s.done != nil {
		if age := w.in.At.Sub(s.done.At); age >= 0 && age < shadingAgeLimit {
			return s.done
		}
	}
	if s.next == nil || w.in.At.Before(s.next.At) || w.in.At.Sub(s.next.At) > shadingAgeLimit {
		s.next = &Shading{At: w.in.At}
	}
	h := w.hears()
	if h == nil {
		return nil
	}
	if s.next.column(h, w.c); s.next.columns == ShadingColumns {
		s.done, s.next = s.next, nil
	}
	return s.done
}

// column works the next column out, for the moment at which the whole was begun.
func (s *Shading) column(h *Antenna, c *station.Config) {
	scene, _, _ := budget.Around(c.Sky, c.Galaxy, h.Listener.Place, h.Listener.Pattern.Hz, s.At)
	for row := range ShadingRows {
		axis := space.Direction(unit.AngleFromDeg(float64(s.columns)*shadingColumn),
			unit.AngleFromDeg(float64(row)*shadingRow))
		k := h.Listener.Pattern.Hear(axis, scene, noise.Coarse).TotalK()
		s.K[s.columns][row] = float32(k)
		if first := s.columns == 0 && row == 0; first || k < s.LowestK {
			s.LowestK = k
		}
	}
	s.columns++
}
