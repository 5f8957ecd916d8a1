package ownecho

import (
	"math"
	"time"

	"beamhelm/app/settings"
	"beamhelm/ephem/echo"
)

// FromSettings is what the settings say of every run: how the transmitter is keyed, and the times of its way.
func FromSettings(s settings.Keying) Config {
	seconds := func(s float64) time.Duration { return time.Duration(math.Round(s * float64(time.Second))) }
	return Config{ByHand: s.Port == "", Lead: seconds(s.LeadS), Playback: seconds(s.SoundS), Back: seconds(s.BackS),
		Limit: seconds(s.LimitS)}
}

// UsualCycles are the numbers of cycles that are offered; the first is the usual one.
var UsualCycles = [...]int{10, 5, 20, 40}

// dialStep is to what the dials are rounded, Hz.
const dialStep = 10

// Tune sets the dials for a run that begins about now: the transmitter on a frequency of the air, the receiver
// where the echo's tone comes back at the pitch at which it went. What the radio's own dial reads, on the air, comes
// first; NaN where it isn't known.
func (c *Config) Tune(agreedHz, readTransmitHz, readReceiveHz float64, at time.Time) {
	c.TransmitHz = math.Round(agreedHz/dialStep) * dialStep
	if !math.IsNaN(readTransmitHz) {
		c.TransmitHz = readTransmitHz
	}
	path := echo.PathTo(c.Sky, c.Here, c.Here, at)
	c.ReceiveHz = math.Round((c.TransmitHz+path.DopplerHz(c.TransmitHz))/dialStep) * dialStep
	if !math.IsNaN(readReceiveHz) {
		c.ReceiveHz = readReceiveHz
	}
}

// The audio that a voice receiver passes, less what the dither and the echo's width take (common practice, no source).
const (
	lowestHz  = 500
	highestHz = 2500
)

// EchoHz is where the echo is heard in the audio, before dithering.
func (c *Config) EchoHz(at time.Time) float64 {
	sent := c.TransmitHz + c.ToneHz
	return sent + echo.PathTo(c.Sky, c.Here, c.Here, at).DopplerHz(sent) - c.ReceiveHz
}

// Heard says that the echo lies in what a receiver for voice passes.
func (c *Config) Heard(at time.Time) bool {
	hz := c.EchoHz(at)
	return hz >= lowestHz && hz <= highestHz
}

// Lasts is about how long a run takes from its press.
func (c *Config) Lasts() time.Duration {
	cycles := c.Cycles + 1
	if c.Peak {
		cycles += Places - 1 // the ways between the places
	}
	return time.Duration(cycles)*Cycle + ahead
}

// Transmits is how long a run transmits a tone in all.
func (c *Config) Transmits() time.Duration { return time.Duration(c.Cycles) * maxTone }

// Left is about how long a run still takes.
func (s *State) Left(c *Config, at time.Time) time.Duration {
	if !s.Running {
		return 0
	}
	next := s.begins
	if s.Moving {
		next = firstCycle(at)
	}
	cycles := c.Cycles - s.Done
	if s.toneSent && !s.Moving {
		cycles++ // the one under way is among those done
	}
	if c.Peak {
		cycles += Places - 1 - s.Place // the ways between the places
	}
	return max(0, next.Sub(at)+time.Duration(cycles)*Cycle-quiet)
}
