package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
)

// chain is the way from the sky to the axes for the band, feed and target in use.
func (s *State) chain(c *Config) mount.Chain {
	feed := c.Settings.Bands[s.Band].Feeds[s.Feed]
	return mount.Chain{
		Trim: s.trim(c),
		// The settings say where the feed's beam looks from the boresight; the
		// boresight must look as far the other way.
		Squint: mount.Offset{Cross: -degrees(feed.SquintCrossElDeg), El: -degrees(feed.SquintElDeg)},
		Model:  s.Survey.Model,
	}
}

// axesAt are the axis angles for the target at a moment, on the branch of the
// cable wrap nearest to near.
func (s *State) axesAt(c *Config, at time.Time, near unit.Angle) (mount.Direction, bool) {
	d, _, ok := c.Place(s.Choice, at)
	if !ok {
		return d, false
	}
	chain := s.chain(c)
	chain.Trim = chain.Trim.Plus(s.Excursion.at(at, d))
	axes := chain.Axes(d)
	axes.Az = station.Nearest(axes.Az, near)
	return axes, true
}

// onWrap is the angle that differs from az by whole turns, lies within the
// azimuth limits and nearest to near; ok is false where there is none.
func onWrap(az, near unit.Angle, l mount.Limits) (unit.Angle, bool) {
	first := station.Nearest(az, near)
	for _, turns := range [...]float64{0, -1, 1, -2, 2} {
		if a := first + unit.Angle(turns*2*math.Pi); l.Inside(a) {
			return a, true
		}
	}
	return first, false
}

// pointingLossDB is the echo lost when the beam is off by an angle, both ways,
// for a Gaussian beam: 12.04 dB times the square of the angle in beamwidths, each way.
func pointingLossDB(off, halfPower unit.Angle) float64 {
	part := off.Rad() / halfPower.Rad()
	return 2 * 12.04 * part * part
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
