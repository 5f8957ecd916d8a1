package station

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/ephem"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/passes"
	"beamhelm/ephem/space"
)

// BodyKind is the kind of a target.
type BodyKind uint8

const (
	NoBody BodyKind = iota
	Moon
	Sun
	Source // one of the catalogue, by Name
	Radec  // an entered right ascension and declination, J2000
	Fixed  // a place: sky direction Az, El
)

// BodyChoice names a target.
type BodyChoice struct {
	Kind BodyKind
	// Name is the catalogue name of a Source, or the operator's words for a place.
	Name string
	// RA and Dec, J2000, of a Radec.
	RA, Dec unit.Angle
	// Az (0 to a full turn, north 0) and El of a Fixed place, as seen (with refraction).
	Az, El unit.Angle
}

// The targets that need no name.
var (
	moonChoice = BodyChoice{Kind: Moon, Name: "Moon"}
	sunChoice  = BodyChoice{Kind: Sun, Name: "Sun"}
)

// Target is a choice looked up in the catalogue, once: what a place is worked out from. Its zero is no target.
type Target struct {
	BodyChoice
	body  ephem.Body
	known bool
}

// Target looks a choice up.
func (c *Config) Target(choice BodyChoice) Target {
	t := Target{BodyChoice: choice, known: true}
	switch choice.Kind {
	case Moon:
		t.body = ephem.MoonBody()
	case Sun:
		t.body = ephem.SunBody()
	case Source:
		source, found := c.Sources.Find(choice.Name)
		t.body, t.known = source.Body(), found
	case Radec:
		t.body = ephem.Star(choice.Name, choice.RA, choice.Dec)
	default:
		t.known = false
	}
	return t
}

// Body is the target as the sky wants it; ok is false for a fixed place and for none.
func (t *Target) Body() (body ephem.Body, ok bool) { return t.body, t.known }

// Place is where a target is seen, with refraction. Azimuth is folded to a circle; ok is false for no target.
func (c *Config) Place(t Target, at time.Time) (d mount.SkyDirection, look ephem.Look, ok bool) {
	if t.Kind == Fixed {
		return mount.SkyDirection{Az: t.Az.Mod1(), El: t.El}, ephem.Look{}, true
	}
	if !t.known {
		return mount.SkyDirection{}, ephem.Look{}, false
	}
	look = c.Sky.Look(c.Site(), t.body, at)
	return mount.SkyDirection{Az: look.Az, El: c.Air().Refracted(look.El)}, look, true
}

// Moon is the Moon as a target.
func (c *Config) Moon() Target { return c.Target(moonChoice) }

// Sun is the Sun as a target.
func (c *Config) Sun() Target { return c.Target(sunChoice) }

// SunAt is where the Sun is seen.
func (c *Config) SunAt(at time.Time) mount.SkyDirection {
	d, _, _ := c.Place(c.Sun(), at)
	return d
}

// NearSunOrMoon reports that a direction in the sky lies within an angle of the Sun or the Moon.
func (c *Config) NearSunOrMoon(d mount.SkyDirection, within unit.Angle, at time.Time) bool {
	moon, _, _ := c.Place(c.Moon(), at)
	return mount.Apart(c.SunAt(at), d) < within || mount.Apart(moon, d) < within
}

// BareName is the target's name without an article.
func (t *Target) BareName() string {
	switch t.Kind {
	case Moon:
		return "Moon"
	case Sun:
		return "Sun"
	case Source:
		return t.Name
	case Radec:
		if t.Name != "" {
			return t.Name
		}
		return fmt.Sprintf("%.2f° %+.2f°", t.RA.Deg(), t.Dec.Deg())
	case Fixed:
		if t.Name != "" {
			return t.Name
		}
		return fmt.Sprintf("%.1f°, %.1f°", t.Az.Mod1().Deg(), t.El.Deg())
	}
	return "no target"
}

// InWords is the name as it stands in a sentence.
func (t *Target) InWords() string {
	switch t.Kind {
	case Moon, Sun:
		return "the " + t.BareName()
	}
	return t.BareName()
}

// Least is how low a target may be followed: the lower soft limit of the
// elevation axis or the least elevation of tracking, whichever is higher.
func (c *Config) Min() unit.Angle {
	low := c.Drive.Axes[mount.Elevation].Limits.SoftLow
	return max(low, degrees(c.Settings.Tracking.MinElevationDeg))
}

// Here is the station with its surveyed horizon, as the passes want it.
func (c *Config) Here() passes.Station {
	return passes.Station{Site: c.Site(), Air: c.Air(), Min: c.Min(), Horizon: c.Horizon()}
}

// Over is the least elevation of the axes at an azimuth: that of the structures, widened
// so that the dish has risen before it comes to one.
func (c *Config) Over(az unit.Angle) unit.Angle {
	const before = 2 // degrees
	minimum, ok := c.Drive.Structures.MinBetween(az-degrees(before), az+degrees(before))
	if !ok {
		return degrees(-90)
	}
	return minimum + degrees(0.05)
}

// Allowed reports that the axes may go to a place: within their limits and above the structures.
func (c *Config) Allowed(d mount.AxisAngles) bool {
	for i, a := range [...]unit.Angle{d.Az, d.El} {
		if x := &c.Drive.Axes[i]; x.Fitted && !x.Limits.Inside(a) {
			return false
		}
	}
	return d.El >= c.Over(d.Az)
}

// SkyK is the temperature of the sky's background in a direction, as a beam sees
// it; 0 without a table of it.
func (c *Config) SkyK(d mount.SkyDirection, at time.Time, halfPower unit.Angle, hz float64) float64 {
	if c.Galaxy == nil {
		return 0
	}
	axes := c.Sky.Axes(c.Site(), at)
	towards := axes.Back(space.Direction(d.Az, c.Air().Airless(d.El)))
	return noise.Scaled(c.Galaxy.Through(towards, halfPower, noise.Fine), hz)
}

// Nearest is the angle that differs from az by whole turns and lies nearest to near.
func Nearest(az, near unit.Angle) unit.Angle {
	return near + unit.Angle(math.Remainder((az-near).Rad(), 2*math.Pi))
}

// PlaceOf is a place of the settings, as axis angles.
func PlaceOf(p settings.Place) mount.AxisAngles {
	return mount.AxisAngles{Az: degrees(p.AzimuthDeg), El: degrees(p.ElevationDeg)}
}
