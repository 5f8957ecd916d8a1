// Package station is what the desk knows of the station without looking at the moment: its settings as
// drive and sky want them, where its targets are in the sky, the horizon around it, and its antenna.
package station

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/noise"
)

// Config is what the desk works with. It is not changed while it runs.
type Config struct {
	Settings settings.Settings
	// Drive is DriveConfig of the settings.
	Drive   step.Config
	Sky     *ephem.Sky
	Sources catalogue.Catalogue
	// Galaxy is the sky's brightness; nil leaves the radio path and the plan out.
	Galaxy *noise.Sky
	// Practice marks the simulated dish.
	Practice bool
}

// NewConfig checks the settings once more by the drive's own rules and puts a
// configuration together.
func NewConfig(s settings.Settings, sky *ephem.Sky, sources catalogue.Catalogue, practice bool) (Config, error) {
	drive, err := DriveConfig(s)
	if err != nil {
		return Config{}, err
	}
	return Config{Settings: s, Drive: drive, Sky: sky, Sources: sources, Practice: practice}, nil
}

// SkyConfig is how the sky is set up by the settings.
func SkyConfig(s settings.Clock) ephem.Config {
	return ephem.Config{UT1MinusUTC: Seconds(s.UT1MinusUTCS)}
}

// Site is the station as the sky wants it.
func (c *Config) Site() ephem.Site {
	s := c.Settings.Station
	return ephem.Site{Lat: degrees(s.LatitudeDeg), Lon: degrees(s.LongitudeDeg), HeightM: s.HeightM}
}

// Air is the air at the station, for refraction.
func (c *Config) Air() ephem.Air {
	a := c.Settings.Air
	return ephem.Air{PressureHPa: a.PressureHPa, TemperatureC: a.TemperatureC, HumidityPercent: a.HumidityPercent}
}

// Seconds are a duration of so many seconds.
func Seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func millis(ms int) time.Duration { return time.Duration(ms) * time.Millisecond }

// HalfPower is the half-power beamwidth of a feed: as set, or worked out from
// the dish, the frequency and the edge taper. Closed for everything shorter
// than the dish is wide.
func HalfPower(dish settings.Dish, mhz float64, feed settings.Feed) unit.Angle {
	if feed.BeamwidthDeg > 0 {
		return degrees(feed.BeamwidthDeg)
	}
	const metresMHz = 299.792458
	return degrees(taperFactor(dish.EdgeTaperDB) * metresMHz / mhz / dish.DiameterM)
}

// taperFactor is K in half-power beamwidth = K wavelength / diameter, degrees,
// for illumination as a parabola on a pedestal whose edge lies taperDB below
// the middle. Worked out by numerical integration; 58.96 for an even
// illumination agrees with the textbooks' 58.9.
func taperFactor(taperDB float64) float64 {
	table := [...]struct{ db, k float64 }{{0, 58.96}, {6, 62.7}, {10, 65.2}, {12, 66.3}, {15, 67.7}, {40, 72.7}}
	t := math.Abs(taperDB)
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; t <= b.db {
			return a.k + (b.k-a.k)*(t-a.db)/(b.db-a.db)
		}
	}
	return table[len(table)-1].k
}

// ReadingKeys names, for each reading of the link, the key of its limits; empty where it has none.
func ReadingKeys() [enclosure.ReadingCount]string { return readingKeys }

// readingKeys is put together once: the desk asks for it at every step.
var readingKeys = func() (keys [enclosure.ReadingCount]string) {
	for _, r := range settings.Readings() {
		if place := int(r.Register) - enclosure.AddressReadings; place >= 0 {
			keys[place] = r.Key
		}
	}
	return keys
}()

// Beamwidth is the half-power beamwidth of a band and feed.
func (c *Config) Beamwidth(band, feed int) unit.Angle {
	b := &c.Settings.Bands[band]
	return HalfPower(c.Settings.Dish, b.MHz, b.Feeds[feed])
}

// Names are those of a band and feed.
func (c *Config) Names(band, feed int) (bandName, feedName string) {
	b := &c.Settings.Bands[band]
	return b.Name, b.Feeds[feed].Name
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
