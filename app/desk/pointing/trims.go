package pointing

import (
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
)

// KeptTrim is a trim with what it belongs to, kept outside the settings.
type KeptTrim struct {
	Band string           `json:"band"`
	Feed string           `json:"feed"`
	Kind station.BodyKind `json:"kind"`
	// CrossEl and El, true angle on the sky, radians.
	CrossEl unit.Angle `json:"cross_elevation_rad"`
	El      unit.Angle `json:"elevation_rad"`
	At      time.Time  `json:"at"`
}

// MaxTrim bounds a trim: what is further off is no trim but another target.
const MaxTrim = 10 // degrees

// Valid reports whether a kept trim can be used.
func (t KeptTrim) Valid() bool {
	limit := degrees(MaxTrim)
	return t.CrossEl >= -limit && t.CrossEl <= limit && t.El >= -limit && t.El <= limit
}

// Trims are those of all bands, feeds and kinds of target, one for each.
type Trims []KeptTrim

// Of is the trim of a band, feed and kind of target; zero where there is none.
func (t Trims) Of(band, feed string, kind station.BodyKind) mount.Offset {
	if i := t.index(band, feed, kind); i >= 0 {
		return mount.Offset{Cross: t[i].CrossEl, El: t[i].El}
	}
	return mount.Offset{}
}

func (t Trims) index(band, feed string, kind station.BodyKind) int {
	return slices.IndexFunc(t, func(k KeptTrim) bool { return k.Band == band && k.Feed == feed && k.Kind == kind })
}

// With is a new list, in which a trim, bounded by MaxTrim, takes the place of the one before it.
func (t Trims) With(k KeptTrim) Trims {
	limit := degrees(MaxTrim)
	k.CrossEl, k.El = max(-limit, min(limit, k.CrossEl)), max(-limit, min(limit, k.El))
	all := slices.Clone(t)
	if i := all.index(k.Band, k.Feed, k.Kind); i >= 0 {
		all[i] = k
		return all
	}
	return append(all, k)
}

// ChainOf is the way from the sky to the axes for a band and feed.
func ChainOf(c *station.Config, band, feed int, trim mount.Offset, model mount.Model) mount.Chain {
	f := c.Settings.Bands[band].Feeds[feed]
	return mount.Chain{
		Trim: trim,
		// The settings say where the feed's beam looks from the boresight; the
		// boresight must look as far the other way.
		Squint: mount.Offset{Cross: -degrees(f.SquintCrossElDeg), El: -degrees(f.SquintElDeg)},
		Model:  model,
	}
}
