// Package ephem says where the Moon, the Sun and radio sources stand in the sky
// of a site: azimuth, elevation, distance and range rate, with rise, set and
// radio refraction. It is arithmetic: instants and bytes come in, angles go out.
//
// Angles are radians (unit.Angle). Azimuth is counted from north over east,
// elevation from the horizon upwards, latitude north and longitude east positive.
//
// With an ephemeris pack (package pack) the chain is: JPL DE405, light time,
// aberration by the site's velocity about the Sun, precession and nutation IAU
// 2006/2000A, Earth rotation IAU 2000, WGS 84. Left out: polar motion (0.3″), the
// Sun's own motion about the barycentre (0.01″). Without a pack, or outside its
// span, truncated series stand in (Moon 14″ and 11 km, Sun 10″), and Look.Origin
// says so.
package ephem

import (
	"fmt"
	"math"
	"time"

	"beamhelm/ephem/pack"
	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

// Site is a place on Earth: geodetic latitude (north +), longitude (east +) and
// height above the ellipsoid, all WGS 84.
type Site struct {
	Lat, Lon unit.Angle
	HeightM  float64
}

// Validate says what is wrong with a site: latitude within 90 degrees, longitude
// within 180 degrees, height from -500 m to 100 km.
func (s Site) Validate() error {
	switch {
	case !(math.Abs(s.Lat.Deg()) <= 90+1e-12):
		return fmt.Errorf("latitude %v is not within -90 to 90 degrees", round(s.Lat.Deg()))
	case !(math.Abs(s.Lon.Deg()) <= 180+1e-12):
		return fmt.Errorf("longitude %v is not within -180 to 180 degrees", round(s.Lon.Deg()))
	case !(s.HeightM >= -500 && s.HeightM <= 100_000):
		return fmt.Errorf("height %v is not within -500 to 100000 m", s.HeightM)
	}
	return nil
}

func round(x float64) float64 { return math.Round(x*1e9) / 1e9 }

// BodyKind is the kind of a body.
type BodyKind uint8

const (
	Moon BodyKind = iota
	Sun
	FixedStar // a point without motion or distance: star, radio source
)

// Body is what is looked at. It is comparable.
type Body struct {
	Kind BodyKind
	// RA and Dec of a FixedStar, ICRS (J2000).
	RA, Dec unit.Angle
	Name    string
}

// MoonBody returns the Moon.
func MoonBody() Body { return Body{Kind: Moon, Name: "Moon"} }

// SunBody returns the Sun.
func SunBody() Body { return Body{Kind: Sun, Name: "Sun"} }

// Star returns a point on the sky by its ICRS (J2000) right ascension and declination.
func Star(name string, ra, dec unit.Angle) Body {
	return Body{Kind: FixedStar, RA: ra, Dec: dec, Name: name}
}

// Origin tells what a place was computed from.
type Origin uint8

const (
	FromPack   Origin = iota // records fitted to JPL DE405
	FromSeries               // truncated series: Moon 14″, 11 km, 0.065 m/s; Sun 10″
)

// String returns words for a screen.
func (o Origin) String() string {
	if o == FromPack {
		return "JPL DE405"
	}
	return "truncated series"
}

// Look is a body as seen from a site, its centre.
type Look struct {
	// Az from 0 to a full turn, and El, both airless.
	Az, El unit.Angle
	// DistanceKm and RangeRateMps (positive receding) are geometric, of this
	// very instant, without light time. Both are 0 for a FixedStar.
	DistanceKm, RangeRateMps float64
	// RA (0 to a full turn) and Dec, topocentric apparent, true equator and equinox of date.
	RA, Dec unit.Angle
	// Diameter is the full apparent angle, 0 for a FixedStar.
	Diameter unit.Angle
	Origin   Origin
	// Dubious is set where UTC itself isn't known: past the last announced leap
	// second decision, or before 1972. Each unforeseen leap second turns the sky by 15″.
	Dubious bool
}

// Config is what the sky needs besides the pack. Its zero is right for most.
type Config struct {
	// UT1MinusUTC, within 0.9 s, as the IERS publishes it. It turns the sky by 15″ a second.
	UT1MinusUTC time.Duration
	// LeapSecondsKnownUntil is the instant until which no further leap second
	// can come; zero means LeapSecondsKnownUntil of this package.
	LeapSecondsKnownUntil time.Time
}

// Validate says what is wrong with a Config.
func (c Config) Validate() error {
	if c.UT1MinusUTC.Abs() > time.Second {
		return fmt.Errorf("UT1-UTC %v is not within -1 s to 1 s", c.UT1MinusUTC)
	}
	return nil
}

// Sky computes places. It is immutable and may be used by any number of goroutines.
type Sky struct {
	pack       *pack.Pack // nil without one
	ut1S       float64    // UT1-UTC, seconds
	knownUntil time.Time
}

// New returns a sky from the bytes of an ephemeris pack; nil or empty means the
// truncated series everywhere. A damaged pack is an error.
func New(packed []byte, config Config) (*Sky, error) {
	if err := config.Validate(); err != nil {
		return nil, err
	}
	s := &Sky{ut1S: config.UT1MinusUTC.Seconds(), knownUntil: config.LeapSecondsKnownUntil}
	if s.knownUntil.IsZero() {
		s.knownUntil = LeapSecondsKnownUntil()
	}
	if len(packed) == 0 {
		return s, nil
	}
	p, err := pack.Read(packed)
	if err != nil {
		return nil, fmt.Errorf("reading the ephemeris pack: %w", err)
	}
	s.pack = p
	return s, nil
}

// Span returns the first and last instant that the pack covers; both zero without one.
func (s *Sky) Span() (first, last time.Time) {
	if s.pack == nil {
		return first, last
	}
	from, to := s.pack.Span()
	return utcOfTT(from), utcOfTT(to)
}

// Separation returns the angle between two directions, from 0 to half a turn,
// without loss of accuracy for small ones.
func Separation(az1, el1, az2, el2 unit.Angle) unit.Angle {
	return space.Angle(space.Direction(az1, el1), space.Direction(az2, el2))
}
