package ownecho

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/echotest"
	"beamhelm/app/message"
	"beamhelm/ephem/budget"
)

// Result is what a run found. Figures that aren't known are 0. It is not changed once published.
type Result struct {
	At   time.Time  `json:"at"`
	Band string     `json:"band"`
	Feed string     `json:"feed"`
	El   unit.Angle `json:"elevation_rad"` // the Moon's
	// Cycles are those that were used, of Done; Complete says that the run went to its end.
	Cycles   int     `json:"cycles"`
	Done     int     `json:"cycles_done"`
	Complete bool    `json:"complete"`
	KeyedS   float64 `json:"keyed_s"`
	// Detected says that there is an echo; the figures after it mean nothing without.
	Detected         bool    `json:"detected"`
	NoiseProbability float64 `json:"noise_probability"`
	// CN0DBHz is the echo's whole power over the noise in 1 Hz.
	CN0DBHz       float64 `json:"cn0_dbhz"`
	CN0ErrorDB    float64 `json:"cn0_error_db"`
	OffsetHz      float64 `json:"offset_hz"`
	OffsetErrorHz float64 `json:"offset_error_hz"`
	SpreadHz      float64 `json:"spread_hz"` // limb to limb
	DelayErrorMS  float64 `json:"delay_error_ms"`
	// What the budget says it should be, with HasExpected.
	HasExpected     bool    `json:"has_expected"`
	ExpectedDBHz    float64 `json:"expected_cn0_dbhz"`
	ExpectedErrorDB float64 `json:"expected_error_db"`
	ExpectedHz      float64 `json:"expected_spread_hz"`
	// Peak is what a peak on the echo found, nil where none was asked for; then the strength is that at its centre.
	Peak *Peak `json:"peak,omitempty"`
	// Why says why there is no answer; empty where there is one.
	Why message.Message `json:"why,omitzero"`
}

// BandwidthHz is the bandwidth in which a strength is told beside C/N0.
const BandwidthHz = 2500

// InBandwidthDB is the strength over the noise in BandwidthHz, as if all of it went through.
func InBandwidthDB(cn0DBHz float64) float64 { return cn0DBHz - 10*math.Log10(BandwidthHz) }

// moonDB is how well the Moon's reflectivity is known: each measurement is good to a factor of 2 (Pettengill 1965).
const moonDB = 3

// Compare puts what should have been beside it.
func (r *Result) Compare(b budget.Terms) {
	r.HasExpected, r.ExpectedDBHz, r.ExpectedErrorDB, r.ExpectedHz = b.Has, b.DensityDBHz, moonDB, b.SpreadHz
	if !b.Has {
		r.ExpectedDBHz, r.ExpectedErrorDB, r.ExpectedHz = 0, 0, 0
	}
}

// Difference is the echo's strength over what it should be, with its error, dB; ok is false where either isn't known.
func (r *Result) Difference() (db, errorDB float64, ok bool) {
	return r.CN0DBHz - r.ExpectedDBHz, math.Hypot(r.CN0ErrorDB, r.ExpectedErrorDB), r.Detected && r.HasExpected
}

// Keepable says that a kept result can be used.
func (r *Result) Keepable() bool {
	for _, f := range [...]float64{r.CN0DBHz, r.CN0ErrorDB, r.OffsetHz, r.OffsetErrorHz, r.SpreadHz, r.ExpectedDBHz,
		r.El.Rad()} {
		if math.IsNaN(f) || math.Abs(f) > 1e4 {
			return false
		}
	}
	return !r.At.IsZero() && r.Band != ""
}

// The search: a radio whose one oscillator serves both ways is off by its drift within 2.5 s and by rounding alone.
const (
	searchHz = 50
	driftHz  = 0.05 // Hz/s, of the station's own frequency
)

// Looks are after how many cycles an answer is looked for before the end; each look may take noise for an echo, so
// what is allowed for the whole is shared among them.
var Looks = [...]int{5, 10, 20, 40}

// runFalseAlarms is how often a run without an echo may pass for one, over all its looks. It is less than what a single
// search allows in package echotest, so that it alone decides.
const runFalseAlarms = 1e-3

// Judge looks for the echoes of the cycles that count in the recording of a run, whose first sample is of the run's
// beginning, shifted by shift. looks is how many times the run will be looked at.
func Judge(samples []float64, rateHz float64, shift time.Duration, cycles []Counted, r *Request, looks int) Result {
	found, err := echotest.Detect(echotest.Recording{Samples: samples, RateHz: rateHz}, plan(shift, cycles, r))
	return judged(found, err, looks)
}

// plan is what a recording should hold.
func plan(shift time.Duration, cycles []Counted, r *Request) echotest.Plan {
	p := echotest.Plan{SpreadHz: r.SpreadHz, SearchHz: searchHz, DriftLimitHzPerS: driftHz, MHz: r.MHz}
	for _, counted := range cycles {
		one := counted.Cycle
		for _, s := range [...]*float64{&one.KeyS, &one.KeyOffS, &one.ToneStartS, &one.EchoStartS} {
			*s += shift.Seconds()
		}
		p.Cycles = append(p.Cycles, one)
	}
	return p
}

// judged is the result of what was found.
func judged(found echotest.Result, err error, looks int) (r Result) {
	if err != nil {
		return Result{NoiseProbability: 1, Why: message.OfError(err)}
	}
	r = Result{Cycles: found.Cycles, NoiseProbability: min(1, found.NoiseProbability*float64(max(1, looks)))}
	if found.Cycles == 0 {
		r.Why = message.Of("echoes.no-whole-cycle")
		return r
	}
	if r.Detected = found.Detected && r.NoiseProbability <= runFalseAlarms; r.Detected {
		r.CN0DBHz, r.CN0ErrorDB = found.CN0DBHz, found.CN0ErrorDB
		r.OffsetHz, r.OffsetErrorHz, r.SpreadHz = found.OffsetHz, found.OffsetErrorHz, found.SpreadHz
		if !math.IsNaN(found.DelayErrorMS) {
			r.DelayErrorMS = found.DelayErrorMS
		}
	}
	return r
}

// LooksOf is how many times a run of so many cycles is looked at, and whether one is due after done.
func LooksOf(cycles, done int) (count int, due bool) {
	for _, at := range Looks {
		if at < cycles {
			count++
			due = due || at == done
		}
	}
	return count + 1, due || done == cycles
}

// CyclesOf tells a number of cycles.
func CyclesOf(n int) message.Message {
	if n == 1 {
		return message.Of("echoes.one-cycle")
	}
	return message.Of("echoes.cycles", n)
}
