// Package trials makes recordings of a receiver in which the station's own echoes are, or are not, and judges what a
// search found in them. Stations and figures are invented.
package trials

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"beamhelm/app/echotest"
)

// Chance is where the trials have their chance from.
type Chance interface {
	NormFloat64() float64
	Float64() float64
	IntN(n int) int
	Perm(n int) []int
}

// Recipe says what a simulated recording holds. The stations and figures are invented.
type Recipe struct {
	MHz, SpreadHz  float64 // as the plan says; the true spread is stretched
	CN0DBHz        float64 // NaN: no echo
	Cycles         int
	RateHz         float64
	SteadyDBHz     float64 // a carrier that stays; 0: none
	SteadyOffsetHz float64 // from the expected place of the first cycle
	KeyedDBHz      float64 // one that comes and goes every second
	WalkDBHz       float64 // one that walks across
	OtherDBHz      float64 // echoes of a station that does not change its tone
	Crashes, Gaps  int     // per cycle
	Gain, Clip     bool
	WeakerDB       []float64 // of each cycle's echo; nil: all alike
}

// Truth is what a detector should find. CN0DBHz is the strength expected over all fades, which is what an operator
// asks for; PresentDBHz is what these few fades happened to let through, C/N0 by its mean power.
type Truth struct{ OffsetHz, SpreadHz, CN0DBHz, PresentDBHz, DelayMS float64 }

const (
	toneS  = 2.0
	cycleS = 6.0
)

// Simulate makes a recording of white noise, echoes and what spoils them, seen through a
// receiver that passes a voice.
func Simulate(r Chance, c Recipe) (echotest.Recording, echotest.Plan, Truth) {
	n := int(cycleS*c.RateHz) * c.Cycles
	audio := make([]float64, n)
	sigma := math.Sqrt(c.RateHz / 2) // a noise density of 1 W/Hz
	for i := range audio {
		audio[i] = sigma * r.NormFloat64()
	}
	want := Truth{
		OffsetHz: (r.Float64()*2 - 1) * 40, SpreadHz: c.SpreadHz * (0.7 + 0.8*r.Float64()),
		CN0DBHz: c.CN0DBHz, DelayMS: (r.Float64()*2 - 1) * 20,
	}
	ownDrift := (r.Float64()*2 - 1) * 0.05
	clock := 1 + (r.Float64()*2-1)*60e-6
	plan := echotest.Plan{SpreadHz: c.SpreadHz, SearchHz: 50, DriftLimitHzPerS: 0.05, MHz: c.MHz}
	middle := cycleS * float64(c.Cycles) / 2
	doppler := (r.Float64()*2 - 1) * 0.09 * c.MHz / 1000
	order, present := r.Perm(c.Cycles), 0.0
	for k := range c.Cycles {
		begin := cycleS * float64(k)
		dither := 6*float64(order[k]%31-min(c.Cycles, 31)/2) + r.Float64()*2 - 1
		cycle := echotest.Cycle{
			KeyS: begin, KeyOffS: begin + 2.4, ToneStartS: begin + 0.3, ToneS: toneS, ToneHz: 1500 + dither,
			EchoStartS: begin + 0.3 + 2.45 + 0.001*float64(k), DriftHzPerS: doppler,
		}
		cycle.EchoMidHz = cycle.ToneHz + doppler*(begin-middle)
		plan.Cycles = append(plan.Cycles, cycle)
		if !math.IsNaN(c.CN0DBHz) {
			at := (cycle.EchoStartS + want.DelayMS/1000) * clock
			hz := cycle.EchoMidHz + want.OffsetHz + ownDrift*(begin-middle)
			power := math.Pow(10, (c.CN0DBHz-c.weaker(k))/10)
			present += addEcho(r, audio, c.RateHz, at, hz, doppler, want.SpreadHz, c.MHz, power)
		}
		if c.OtherDBHz > 0 {
			addEcho(r, audio, c.RateHz, begin+3.6, 1480, 0, c.SpreadHz, c.MHz, math.Pow(10, c.OtherDBHz/10))
		}
	}
	want.PresentDBHz = 10 * math.Log10(present/float64(c.Cycles))
	spoil(r, audio, c, plan)
	return echotest.Recording{Samples: receive(r, audio, c, plan), RateHz: c.RateHz}, plan, want
}

func (c Recipe) weaker(cycle int) float64 {
	if c.WeakerDB == nil {
		return 0
	}
	return c.WeakerDB[cycle]
}

// addEcho adds complex noise shaped by the Moon's profile, on a carrier. It returns its mean power, which fades.
func addEcho(r Chance, audio []float64, rate, at, hz, drift, spread, mhz, power float64) (present float64) {
	n := int(toneS * rate)
	envelope := echotest.Fading(r.NormFloat64, mhz, spread, rate, n)
	scale := math.Sqrt(2 * power)
	first := at * rate
	phase := r.Float64() * 2 * math.Pi
	for i := range n {
		k := int(first) + i
		if k < 0 || k >= len(audio) {
			continue
		}
		t := (float64(k)-first)/rate - toneS/2
		sin, cos := math.Sincos(phase + 2*math.Pi*hz*t + math.Pi*drift*t*t)
		audio[k] += scale * (real(envelope[i])*cos - imag(envelope[i])*sin)
	}
	for _, e := range envelope {
		present += power * (real(e)*real(e) + imag(e)*imag(e)) / float64(n)
	}
	return present
}

// spoil adds carriers.
func spoil(r Chance, audio []float64, c Recipe, p echotest.Plan) {
	start := p.Cycles[0].EchoMidHz + c.SteadyOffsetHz
	walk := p.Cycles[0].EchoMidHz - 0.65*cycleS*float64(c.Cycles)
	for i := range audio {
		t := float64(i) / c.RateHz
		if c.SteadyDBHz > 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.SteadyDBHz/10)) * math.Cos(2*math.Pi*start*t)
		}
		if c.KeyedDBHz > 0 && int(t)%2 == 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.KeyedDBHz/10)) * math.Cos(2*math.Pi*(start+17)*t)
		}
		if c.WalkDBHz > 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.WalkDBHz/10)) * math.Cos(2*math.Pi*(walk*t+0.65*t*t))
		}
	}
	sigma := math.Sqrt(c.RateHz / 2)
	for _, cycle := range p.Cycles {
		for range c.Crashes {
			from, long := int((cycle.EchoStartS+r.Float64()*toneS)*c.RateHz), int((0.005+0.055*r.Float64())*c.RateHz)
			for i := from; i < min(from+long, len(audio)); i++ {
				audio[i] += 10 * sigma * r.NormFloat64()
			}
		}
	}
}

// filtered passes 250 to 2900 Hz, tilted, a cycle at a time: their ends lie in the muted part.
func filtered(r Chance, audio []float64, c Recipe) []float64 {
	n := len(audio) / c.Cycles
	fft := fourier.NewFFT(n)
	tilt := r.Float64()*2 - 1
	gain := make([]complex128, n/2+1)
	for i := range gain {
		if f := float64(i) * c.RateHz / float64(n); f >= 250 && f <= 2900 {
			gain[i] = complex(math.Pow(10, tilt*(f-1500)/1000/20)/float64(n), 0)
		}
	}
	line, out := make([]complex128, len(gain)), make([]float64, len(audio))
	for from := 0; from < len(audio); from += n {
		fft.Coefficients(line, audio[from:from+n])
		for i := range line {
			line[i] *= gain[i]
		}
		fft.Sequence(out[from:from+n], line)
	}
	return out
}

// receive is the receiver: 250 to 2900 Hz, tilted, its level walking, muted while keyed.
func receive(r Chance, audio []float64, c Recipe, p echotest.Plan) []float64 {
	n := len(audio)
	out := filtered(r, audio, c)
	level, power := 1.0, 0.0
	for i := range out {
		level *= 1 + 0.3*r.NormFloat64()/math.Sqrt(c.RateHz)
		level = max(0.5, min(2, level))
		out[i] *= level
		if c.Gain {
			power += (out[i]*out[i] - power) / (0.4 * c.RateHz)
			out[i] /= math.Sqrt(max(power, 1))
		}
	}
	peak := 0.0
	for i := range out {
		peak += out[i] * out[i] / float64(n)
	}
	for i := range out {
		out[i] *= 0.1 / math.Sqrt(peak) // -20 dB below full scale
		if c.Clip {
			out[i] = max(-0.15, min(0.15, out[i]))
		}
	}
	for _, cycle := range p.Cycles {
		for i := int(cycle.KeyS * c.RateHz); i < min(n, int(cycle.KeyOffS*c.RateHz)); i++ {
			out[i] *= 0.003
		}
		for range c.Gaps {
			from, long := int((cycle.EchoStartS+r.Float64()*toneS)*c.RateHz), int(0.4*r.Float64()*c.RateHz)
			for i := from; i < min(from+long, n); i++ {
				out[i] = 0
			}
		}
	}
	return out
}
