package desk

import (
	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
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

// beam is where the beam is pointed at the moment, and may be.
func (t *turn) beam() *pointing.Beam { return t.beamOf(t.s) }

// beamOf is the same for another state of the desk.
func (t *turn) beamOf(s *State) *pointing.Beam {
	return &pointing.Beam{
		Config: t.c, At: t.in.At, Target: s.Choice, Chain: s.chain(t.c), Route: s.Route, Excursion: s.Excursion,
		Axes: axesOf(t.in.Loop), HalfPower: t.c.Beamwidth(s.Band, s.Feed), Hz: t.c.Settings.Bands[s.Band].MHz * 1e6,
	}
}

// axesOf is where the axes are.
func axesOf(loop *step.Status) mount.Direction {
	return mount.Direction{Az: loop.Axes[mount.Azimuth].Is, El: loop.Axes[mount.Elevation].Is}
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
