package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
	"beamhelm/ephem"
)

// body is the choice as the sky wants it; ok is false for a fixed place and for none.
func (c *Config) body(choice BodyChoice) (body ephem.Body, ok bool) {
	switch choice.Kind {
	case Moon:
		return ephem.MoonBody(), true
	case Sun:
		return ephem.SunBody(), true
	case Source:
		source, found := c.Sources.Find(choice.Name)
		return source.Body(), found
	case Radec:
		return ephem.Star(choice.Name, choice.RA, choice.Dec), true
	}
	return ephem.Body{}, false
}

// place is where a choice is seen, with refraction. Azimuth is folded to a circle.
func (c *Config) place(choice BodyChoice, at time.Time) (d mount.Direction, look ephem.Look, ok bool) {
	if choice.Kind == Fixed {
		return mount.Direction{Az: choice.Az.Mod1(), El: choice.El}, ephem.Look{}, true
	}
	body, ok := c.body(choice)
	if !ok {
		return mount.Direction{}, ephem.Look{}, false
	}
	look = c.Sky.Look(c.site(), body, at)
	return mount.Direction{Az: look.Az, El: c.air().Refracted(look.El)}, look, true
}

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
	d, _, ok := c.place(s.Choice, at)
	if !ok {
		return d, false
	}
	chain := s.chain(c)
	chain.Trim = chain.Trim.Plus(s.Excursion.at(at, d))
	axes := chain.Axes(d)
	axes.Az = nearest(axes.Az, near)
	return axes, true
}

// nearest is the angle that differs from az by whole turns and lies nearest to near.
func nearest(az, near unit.Angle) unit.Angle {
	return near + unit.Angle(math.Remainder((az-near).Rad(), 2*math.Pi))
}

// onWrap is the angle that differs from az by whole turns, lies within the
// azimuth limits and nearest to near; ok is false where there is none.
func onWrap(az, near unit.Angle, l mount.Limits) (unit.Angle, bool) {
	first := nearest(az, near)
	for _, turns := range [...]float64{0, -1, 1, -2, 2} {
		if a := first + unit.Angle(turns*2*math.Pi); l.Inside(a) {
			return a, true
		}
	}
	return first, false
}

// halfPower is the beamwidth in use.
func (s *State) halfPower(c *Config) unit.Angle {
	band := c.Settings.Bands[s.Band]
	return HalfPower(c.Settings.Dish, band.MHz, band.Feeds[s.Feed])
}

// pointingLossDB is the echo lost when the beam is off by an angle, both ways,
// for a Gaussian beam: 12.04 dB times the square of the angle in beamwidths, each way.
func pointingLossDB(off, halfPower unit.Angle) float64 {
	part := off.Rad() / halfPower.Rad()
	return 2 * 12.04 * part * part
}

// least is how low the target may be followed: the lower soft limit of the
// elevation axis or the least elevation of tracking, whichever is higher.
func (c *Config) least() unit.Angle {
	return max(c.Drive.Axes[mount.Elevation].Limits.SoftLow, degrees(c.Settings.Tracking.LeastElevationDeg))
}
