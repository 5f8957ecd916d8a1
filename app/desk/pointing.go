package desk

import (
	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive/mount"
)

// chain is the way from the sky to the axes for the band, feed and target in use.
func (s *State) chain(c *Config) mount.Chain {
	return pointing.ChainOf(c, s.Band, s.Feed, s.trim(c), s.Measuring.Survey.Model)
}

// beam is where the beam is pointed at the moment, and may be.
func (t *work) beam() *pointing.Beam { return t.beamOf(t.s) }

// beamOf is the same for another state of the desk.
func (t *work) beamOf(s *State) *pointing.Beam {
	return &pointing.Beam{
		Config: t.c, At: t.in.At, TimeScale: t.in.TimeScale,
		Target: s.Choice, Chain: s.chain(t.c), Route: s.Route, Excursion: s.Excursion,
		Axes: pointing.AxesOf(t.in.Loop), HalfPower: t.c.Beamwidth(s.Band, s.Feed),
		Hz: t.c.Settings.Bands[s.Band].MHz * 1e6,
	}
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
