// Package ownecho is the sequence of a measurement of the station's own echoes: short tones to the Moon, listened for
// 2.3 to 2.7 s later, on a cycle of 6 s of UTC. It decides when to key and which tone to send, and what ends
// it; it keys nothing itself. Whoever does what it says drops the key first, and the tone after.
//
// Step is pure: a run can be replayed from a record. Whether anything is transmitted is for the sequencer.
package ownecho

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
)

// Cycle is how long one transmission and its echo take, on the grid of UTC.
const Cycle = 6 * time.Second

// The limits of a run.
const (
	MaxCycles   = 40
	MaxKeyed    = 120 * time.Second
	MaxDuration = 5 * time.Minute
	// maxTone is the longest tone, minTone the shortest that is of use.
	maxTone = 2 * time.Second
	minTone = time.Second
	// margin is between the tone's end and the key's, and between going back to receive and the echo.
	margin = 50 * time.Millisecond
	// maxReachDeg is how far beside the target a peak may go.
	maxReachDeg = 5
)

// Config is what a run will do: it is said before it begins.
type Config struct {
	Cycles int
	// ByHand says that the operator keys, by a countdown: Key is never ordered, the tone is sent all the same.
	ByHand bool
	// Lead is from the key to the tone, for sequencer and relays; Playback the delay of the sound's path; Back
	// the time to go back to receive; Limit the longest transmission that the keyer allows.
	Lead, Playback, Back, Limit time.Duration
	// ToneHz is the tone before dithering. TransmitHz and ReceiveHz are those of the dials, on the air: upper sideband.
	ToneHz, TransmitHz, ReceiveHz float64
	// Seed makes the order of the dither.
	Seed uint64
	// Peak says that the cycles are shared among the Places of the beam, which lie within Reach of the target.
	Peak  bool
	Reach unit.Angle

	Sky  *ephem.Sky
	Here ephem.Site
}

// Validate names what can't be used.
func (c *Config) Validate() error {
	for _, f := range [...]struct {
		code             message.Code
		is, minimum, top time.Duration
	}{
		{"echoes.config.lead", c.Lead, 100 * time.Millisecond, 500 * time.Millisecond},
		{"echoes.config.playback", c.Playback, 0, 500 * time.Millisecond},
		{"echoes.config.back", c.Back, 0, time.Second},
		{"echoes.config.limit", c.Limit, 500 * time.Millisecond, 5 * time.Second},
	} {
		if f.is < f.minimum || f.is > f.top {
			return message.Of(f.code, f.is.Seconds(), f.minimum.Seconds(), f.top.Seconds())
		}
	}
	switch {
	case c.Cycles < 1 || c.Cycles > MaxCycles:
		return message.Of("echoes.config.cycles", c.Cycles, MaxCycles)
	case !(c.ToneHz >= 500 && c.ToneHz <= 2500):
		return message.Of("echoes.config.tone", c.ToneHz)
	case !(c.TransmitHz > 1e6) || !(c.ReceiveHz > 1e6):
		return message.Of("echoes.config.dials", c.TransmitHz, c.ReceiveHz)
	case c.Peak && c.Cycles%Places != 0:
		return message.Of("echoes.config.multiple", c.Cycles, Places)
	case c.Peak && !(c.Reach > 0 && c.Reach.Deg() <= maxReachDeg):
		return message.Of("echoes.config.reach", c.Reach, maxReachDeg)
	case c.Sky == nil:
		return message.Of("echoes.config.no-sky")
	}
	return nil
}

// Burst is the transmission of one cycle, from its beginning on the grid.
type Burst struct {
	// Key is ordered from 0 to KeyOff; the tone lasts from Start, as handed to the sound system, for Lasts.
	KeyOff, Start, Lasts time.Duration
	// EchoAfter is from the tone's start on the air to the echo's first arrival, from the Moon's near face.
	EchoAfter time.Duration
}

// BurstAt is the transmission of the cycle that begins at a moment. It is refused where the tone would be too short.
func (c *Config) BurstAt(begins time.Time) (Burst, error) {
	b := Burst{Start: c.Lead}
	path := echo.PathFrom(c.Sky, c.Here, c.Here, begins.Add(c.Lead+c.Playback+maxTone/2))
	b.EchoAfter = time.Duration(path.FirstS() * float64(time.Second))
	// The key falls a margin after the tone's end on the air, and the receiver is back a margin before the echo.
	b.Lasts = min(maxTone, b.EchoAfter-c.Back-2*margin, c.Limit-c.Lead-c.Playback-margin)
	if b.Lasts < minTone {
		return b, message.Of("echoes.tone-short", b.Lasts.Seconds(), b.EchoAfter.Seconds())
	}
	b.KeyOff = b.Start + b.Lasts + c.Playback + margin
	return b, nil
}

// Keyed is how long a run keys at most.
func (c *Config) Keyed() time.Duration {
	return time.Duration(c.Cycles) * min(c.Limit, c.Lead+maxTone+c.Playback+margin)
}

// The dither: offsets of a tone, different in each of many cycles, so that a carrier that stays falls into no two
// cycles at the same place beside the echo.
const (
	ditherStep  = 6.0 // Hz
	ditherSteps = 31
)

// dither is the offset of a cycle's tone, Hz: -91 to +91.
func (c *Config) dither(cycle int) float64 {
	var order [ditherSteps]int
	for i := range order {
		order[i] = i
	}
	random := c.Seed + uint64(cycle/ditherSteps)
	for i := ditherSteps - 1; i > 0; i-- {
		k := int(next(&random) % uint64(i+1))
		order[i], order[k] = order[k], order[i]
	}
	random = c.Seed ^ uint64(cycle)<<32
	little := float64(next(&random)>>11)/(1<<53)*2 - 1
	return ditherStep*float64(order[cycle%ditherSteps]-ditherSteps/2) + little
}

// next is the next number of a row that looks random: splitmix64 (Steele, Lea and Flood 2014, constants from memory).
func next(state *uint64) uint64 {
	*state += 0x9E3779B97F4A7C15
	z := *state
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}
