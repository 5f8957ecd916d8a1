// Package mode holds the modes of contacts by way of the Moon, and what each tolerates: how far a clock
// may be off, and how much an echo may spread. All of these are common practice, no source; they
// are where trouble begins to be heard, not limits. Pure.
package mode

import "time"

// Mode is a way of sending.
type Mode struct {
	// Words for a screen.
	Words string
	// ADIF is its word in the enumeration 'Mode' of ADIF, version 3.
	ADIF string
	// BandwidthHz is the noise bandwidth in which it is heard.
	BandwidthHz float64
	// SpreadHz is the spread, limb to limb, from which an echo is heard worse.
	SpreadHz float64
	// ClockShare is the part of a period by which a clock may be off, MaxClock the most of it.
	ClockShare float64
	MaxClock   time.Duration
	// Report is what is usually sent for a plain signal.
	Report string
}

// All are the modes, that which is usual first.
func All() []Mode {
	return []Mode{
		{"Morse", "CW", 50, 50, 0.1, 5 * time.Second, "O"},
		{"Voice", "SSB", 2500, 200, 0.1, 5 * time.Second, "55"},
		{"Tones, narrow", "MFSK", 3, 5, 0.02, time.Second, "-20"},
		{"Tones, wide", "MFSK", 30, 100, 0.02, time.Second, "-20"},
	}
}

// ClockTolerance is by how much the clock may be off with periods of a length: what is sent then still falls into the
// other station's receive period. 0 without periods.
func (m Mode) ClockTolerance(period time.Duration) time.Duration {
	return min(time.Duration(m.ClockShare*float64(period)), m.MaxClock).Round(10 * time.Millisecond)
}
