// Package echotest finds the operator's own echoes in a recording of the receiver:
// tone bursts sent to the Moon and heard back 2.3 to 2.7 s later, spread in frequency by
// the Moon's apparent rotation. It says whether there is an echo, how strong, at which
// frequency and how wide. It is pure: samples and a plan go in, a Result comes out.
package echotest

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
)

// Cycle is one transmission of a tone and its echo. Times are seconds from the
// recording's first sample.
type Cycle struct {
	// KeyS and KeyOffS are when the transmitter was keyed and unkeyed.
	KeyS    float64 `json:"key_s"`
	KeyOffS float64 `json:"key_off_s"`
	// ToneStartS and ToneS are when the tone began and how long it lasted, ToneHz its audio frequency.
	ToneStartS float64 `json:"tone_start_s"`
	ToneS      float64 `json:"tone_s"`
	ToneHz     float64 `json:"tone_hz"`
	// EchoStartS is when the echo from the Moon's near face begins to arrive.
	EchoStartS float64 `json:"echo_start_s"`
	// EchoMidHz is the audio frequency expected at the middle of the echo, DriftHzPerS its rate of change.
	EchoMidHz   float64 `json:"echo_mid_hz"`
	DriftHzPerS float64 `json:"drift_hz_per_s"`
}

// Plan is what a recording should hold.
type Plan struct {
	Cycles []Cycle `json:"cycles"`
	// SpreadHz is the Doppler spread expected, limb to limb.
	SpreadHz float64 `json:"spread_hz"`
	// SearchHz is how far from the expected frequency an echo may lie, either way.
	SearchHz float64 `json:"search_hz"`
	// DriftLimitHzPerS is how fast the station's own frequency may drift from cycle to cycle.
	DriftLimitHzPerS float64 `json:"drift_limit_hz_per_s"`
	// MHz is the band. 0: taken from the spread, which grows with it.
	MHz float64 `json:"mhz,omitempty"`
}

// The limits of a plan. They bound memory and time; no real test comes near them.
const (
	maxCycles   = 1000
	maxToneS    = 10
	minToneS    = 0.2
	maxSearchHz = 500
	maxSpreadHz = 2000
	maxStartS   = 24 * 3600
	maxDrift    = 10 // Hz/s
)

// ParsePlan reads a plan from JSON and checks it. Unknown fields are ignored.
func ParsePlan(text []byte) (Plan, error) {
	p := Plan{SearchHz: 50, DriftLimitHzPerS: 0.05}
	if err := json.Unmarshal(text, &p); err != nil {
		return Plan{}, fmt.Errorf("read the plan: %w", err)
	}
	return p, p.Validate()
}

// Validate names the first figure that cannot be used.
func (p Plan) Validate() error {
	if len(p.Cycles) == 0 {
		return errors.New("the plan has no cycles")
	}
	if len(p.Cycles) > maxCycles {
		return fmt.Errorf("the plan has %d cycles: at most %d", len(p.Cycles), maxCycles)
	}
	for _, f := range []struct {
		name           string
		value, low, up float64
	}{
		{"spread_hz", p.SpreadHz, 0, maxSpreadHz},
		{"search_hz", p.SearchHz, 0, maxSearchHz},
		{"drift_limit_hz_per_s", p.DriftLimitHzPerS, 0, maxDrift},
		{"mhz", p.MHz, 0, 1e6},
	} {
		if !within(f.value, f.low, f.up) {
			return fmt.Errorf("%s is %g: from %g to %g", f.name, f.value, f.low, f.up)
		}
	}
	for i, c := range p.Cycles {
		if err := c.validate(); err != nil {
			return fmt.Errorf("cycle %d: %w", i+1, err)
		}
	}
	return nil
}

func (c Cycle) validate() error {
	switch {
	case !within(c.ToneS, minToneS, maxToneS):
		return fmt.Errorf("tone_s is %g: from %g to %d", c.ToneS, minToneS, maxToneS)
	case !within(c.EchoStartS, -maxStartS, maxStartS):
		return fmt.Errorf("echo_start_s is %g: from %d to %d", c.EchoStartS, -maxStartS, maxStartS)
	case !within(c.EchoMidHz, 1, 1e5):
		return fmt.Errorf("echo_mid_hz is %g: from 1 to 100000", c.EchoMidHz)
	case !within(c.DriftHzPerS, -maxDrift, maxDrift):
		return fmt.Errorf("drift_hz_per_s is %g: from %d to %d", c.DriftHzPerS, -maxDrift, maxDrift)
	}
	return nil
}

// within is false for NaN.
func within(x, low, up float64) bool { return x >= low && x <= up && !math.IsInf(x, 0) }
