// Package serve is the simulated enclosure: the circuits between the line and
// the dish, as a MODBUS RTU slave. It does by itself what every enclosure must:
// watchdog, trips, power, ends, hand panel, stop circuit. The dish behind it is
// package plant or anything else that steps.
package serve

import (
	"fmt"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/plant"
)

// Dish is what the enclosure is wired to.
type Dish interface {
	// Step lets input.Elapsed pass and returns what there is to see after it.
	Step(plant.Input) plant.Output
}

// Config of an enclosure.
type Config struct {
	// Unit on the line, 1 to 247.
	Unit byte
	// Baud decides how long after a request the reply begins: 3.5 characters,
	// above 19200 baud 1.75 ms. Turnaround is added to it; together at most 10 ms.
	Baud       int
	Turnaround time.Duration
	// Step of the dish, 1 to 5 ms.
	Step          time.Duration
	Fitted        enclosure.Fitted
	Firmware      uint16
	FixedSpeeds   [2]uint8
	Ramp          [2]time.Duration // from zero to full drive
	CountsPerTurn [2]uint32        // of absolute encoders
	// StartCounter before the first start.
	StartCounter uint16
	// WithoutReadWrite makes an enclosure that does not know function 23.
	WithoutReadWrite bool
}

// Default is an enclosure with everything fitted but absolute encoders and
// brakes, at 19200 baud.
func Default() Config {
	return Config{
		Unit: 1, Baud: 19200, Step: 2 * time.Millisecond, Firmware: 0x0100,
		Fitted: enclosure.FittedAzimuth | enclosure.FittedElevation | enclosure.FittedHandPanel | enclosure.FittedWind |
			enclosure.FittedDetector | enclosure.FittedTransmitGate | enclosure.FittedAmplifier |
			enclosure.FittedMarkLatch |
			enclosure.FittedBandSwitch | enclosure.FittedFeedTurner | enclosure.FittedWarning,
		Ramp: [2]time.Duration{time.Second, time.Second},
	}
}

// Validate names the first field that cannot be used.
func (c Config) Validate() error {
	switch {
	case c.Unit < 1 || c.Unit > 247:
		return fmt.Errorf("unit %d: 1 to 247", c.Unit)
	case c.Baud < 1200 || c.Baud > 1_000_000:
		return fmt.Errorf("baud %d: 1200 to 1000000", c.Baud)
	case c.Turnaround < 0 || c.Turnaround > 0 && c.replyDelay() > latestReply:
		return fmt.Errorf("turnaround %v: 0 to %v", c.Turnaround, c.Latest().Turnaround)
	case c.Step < time.Millisecond || c.Step > 5*time.Millisecond:
		return fmt.Errorf("step %v: 1 to 5 ms", c.Step)
	case c.Ramp[0] < 0 || c.Ramp[1] < 0 || c.Ramp[0] > 60*time.Second || c.Ramp[1] > 60*time.Second:
		return fmt.Errorf("ramps %v: 0 to 60 s", c.Ramp)
	}
	return nil
}

// Character is the time of one character of 11 bits.
func (c Config) Character() time.Duration { return 11 * time.Second / time.Duration(c.Baud) }

// latestReply is how long after a request a reply may begin.
const latestReply = 10 * time.Millisecond

// Latest is the enclosure whose replies begin as late as they may.
func (c Config) Latest() Config {
	c.Turnaround = 0
	c.Turnaround = max(0, latestReply-c.replyDelay())
	return c
}

// replyDelay is how long after the end of a request its reply begins.
func (c Config) replyDelay() time.Duration {
	gap := c.Character() * 7 / 2
	if c.Baud > 19200 {
		gap = 1750 * time.Microsecond
	}
	return gap + c.Turnaround
}
