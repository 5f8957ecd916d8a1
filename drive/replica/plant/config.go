package plant

import (
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
)

// MaxBands is the number of bands that a dish may have.
const MaxBands = 4

// Config is a dish. Its zero can't be used; start from Default.
type Config struct {
	// Seed of everything that strays.
	Seed uint64
	// Start is the moment at which the plant's time begins, for the periods of
	// the sequencer and for whoever writes the truth.
	Start time.Time
	// Fitted says what the enclosure has; what is not fitted reads NaN.
	Fitted enclosure.Fitted
	// Axes are azimuth and elevation.
	Axes [2]Axis
	Dish Dish
	// Mount is how the axes really stand.
	Mount Mount
	Wind  Wind
	Air   Air
	// Supplies of the enclosure.
	Supplies Supplies
	// Sequencer and amplifier.
	Sequencer Transmitter
	// Bands by place; one with 0 MHz is not there. The first is in force where
	// the number ordered fits none.
	Bands [MaxBands]Band
}

// Dish is the reflector.
type Dish struct {
	DiameterM float64
	// Solidity is what the wind meets of it, 1 for a closed one. Half the area
	// of a mesh does not halve the torque (Jet Propulsion Laboratory quarterly
	// review XV, 1973, by way of a secondary note): 0.7.
	Solidity float64
}

// Air outside.
type Air struct {
	TemperatureC, HumidityPercent float64
}

// Supplies are the enclosure's, at rest.
type Supplies struct {
	DriveV, LogicV, BatteryV, PreamplifierV, RelayV, DetectorV float64
	// DriveOhm is the resistance of drive supply and its cable.
	DriveOhm float64
	// ComesOn is the time from the order to drive power on.
	ComesOn time.Duration
}

// Default is the practice dish: 5.6 m of mesh on two worm-driven axes, in a
// light wind, with bands of 1296 and 5760 MHz. Its beam starts 10 degrees off
// the azimuth 115.4 degrees, at the elevation 40.1 degrees.
func Default() Config {
	azimuth := DefaultAxis()
	azimuth.EndLow, azimuth.EndHigh = unit.AngleFromDeg(-50), unit.AngleFromDeg(410)
	azimuth.Mark, azimuth.Place = unit.AngleFromDeg(180), unit.AngleFromDeg(105.4)
	elevation := DefaultAxis()
	elevation.EndLow, elevation.EndHigh = unit.AngleFromDeg(-5), unit.AngleFromDeg(91)
	elevation.Mark, elevation.Place = unit.AngleFromDeg(45), unit.AngleFromDeg(40.1)
	elevation.ImbalanceNm = 260
	return Config{
		Seed:  1,
		Start: time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC),
		Fitted: enclosure.FittedAzimuth | enclosure.FittedElevation | enclosure.FittedHandPanel | enclosure.FittedWind |
			enclosure.FittedDetector | enclosure.FittedTransmitGate | enclosure.FittedAmplifier |
			enclosure.FittedMarkLatch |
			enclosure.FittedBandSwitch | enclosure.FittedFeedTurner | enclosure.FittedWarning,
		Axes:      [2]Axis{azimuth, elevation},
		Dish:      Dish{DiameterM: 5.6, Solidity: 0.7},
		Wind:      Wind{MeanMPS: 3.5, Direction: unit.AngleFromDeg(250), Turbulence: 0.18},
		Air:       Air{TemperatureC: 8, HumidityPercent: 70},
		Supplies:  Supplies{27.4, 5.02, 13.6, 12.4, 27.8, 5.0, 0.12, 250 * time.Millisecond},
		Sequencer: DefaultTransmitter(),
		Bands:     [MaxBands]Band{DefaultBand(1296, 0), DefaultBand(5760, 1)},
	}
}

// check is one figure and what it may be.
type check struct {
	name             string
	value, low, high float64
	unit             string
}

func examine(checks []check) error {
	for _, c := range checks {
		if !(c.value >= c.low && c.value <= c.high) {
			return fmt.Errorf("simulated dish: %s %v: must be %v to %v%s", c.name, c.value, c.low, c.high, c.unit)
		}
	}
	return nil
}

// Validate names field, value, limits and unit of what can't be used.
func (c *Config) Validate() error {
	s := &c.Supplies
	err := examine([]check{
		{"diameter", c.Dish.DiameterM, 0.3, 100, " m"},
		{"solidity", c.Dish.Solidity, 0, 1, ""},
		{"wind", c.Wind.MeanMPS, 0, 60, " m/s"},
		{"wind direction", c.Wind.Direction.Deg(), -360, 360, " degrees"},
		{"turbulence", c.Wind.Turbulence, 0, 0.5, ""},
		{"air", c.Air.TemperatureC, -50, 60, " degrees C"},
		{"humidity", c.Air.HumidityPercent, 0, 100, " %"},
		{"drive supply", s.DriveV, 5, 200, " V"},
		{"logic supply", s.LogicV, 0, 30, " V"},
		{"battery", s.BatteryV, 0, 200, " V"},
		{"preamplifier supply", s.PreamplifierV, 0, 60, " V"},
		{"preamplifier relay supply", s.RelayV, 0, 60, " V"},
		{"detector supply", s.DetectorV, 0, 60, " V"},
		{"resistance of the drive supply", s.DriveOhm, 0, 2, " ohm"},
		{"time until drive power is on", s.ComesOn.Seconds(), 0, 10, " s"},
	})
	if err != nil {
		return err
	}
	for i, name := range [...]string{"azimuth", "elevation"} {
		if err := c.Axes[i].validate(name); err != nil {
			return err
		}
	}
	if err := errors.Join(c.Mount.validate(), c.Sequencer.validate()); err != nil {
		return err
	}
	if c.Bands[0].MHz == 0 {
		return errors.New("simulated dish: the first band is missing: it is the one in force where none fits")
	}
	for i := range c.Bands {
		if err := c.Bands[i].validate(); err != nil {
			return err
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
