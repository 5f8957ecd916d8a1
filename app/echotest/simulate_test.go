package echotest

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// recipe says what a simulated recording holds. The stations and figures are invented.
type recipe struct {
	mhz, spreadHz float64 // as the plan says; the true spread is stretched
	cn0DBHz       float64 // NaN: no echo
	cycles        int
	rateHz        float64
	steadyDBHz    float64 // a carrier that stays; 0: none
	steadyOffset  float64 // from the expected place of the first cycle
	keyedDBHz     float64 // one that comes and goes every second
	walkDBHz      float64 // one that walks across
	otherDBHz     float64 // echoes of a station that does not change its tone
	crashes, gaps int     // per cycle
	gain, clip    bool
	weakerDB      []float64 // of each cycle's echo; nil: all alike
}

// truth is what a detector should find. cn0DBHz is the strength expected over all fades, which is what an operator
// asks for; presentDBHz is what these few fades happened to let through, C/N0 by its mean power.
type truth struct{ offsetHz, spreadHz, cn0DBHz, presentDBHz, delayMS float64 }

const (
	simToneS  = 2.0
	simCycleS = 6.0
)

// simulate makes a recording of white noise, echoes and what spoils them, seen through a
// receiver that passes a voice.
func simulate(r *rand.Rand, c recipe) (Recording, Plan, truth) {
	n := int(simCycleS*c.rateHz) * c.cycles
	audio := make([]float64, n)
	sigma := math.Sqrt(c.rateHz / 2) // a noise density of 1 W/Hz
	for i := range audio {
		audio[i] = sigma * r.NormFloat64()
	}
	want := truth{
		offsetHz: (r.Float64()*2 - 1) * 40, spreadHz: c.spreadHz * (0.7 + 0.8*r.Float64()),
		cn0DBHz: c.cn0DBHz, delayMS: (r.Float64()*2 - 1) * 20,
	}
	ownDrift := (r.Float64()*2 - 1) * 0.05
	clock := 1 + (r.Float64()*2-1)*60e-6
	plan := Plan{SpreadHz: c.spreadHz, SearchHz: 50, DriftLimitHzPerS: 0.05, MHz: c.mhz}
	middle := simCycleS * float64(c.cycles) / 2
	doppler := (r.Float64()*2 - 1) * 0.09 * c.mhz / 1000
	order, present := r.Perm(c.cycles), 0.0
	for k := range c.cycles {
		begin := simCycleS * float64(k)
		dither := 6*float64(order[k]%31-min(c.cycles, 31)/2) + r.Float64()*2 - 1
		cycle := Cycle{
			KeyS: begin, KeyOffS: begin + 2.4, ToneStartS: begin + 0.3, ToneS: simToneS, ToneHz: 1500 + dither,
			EchoStartS: begin + 0.3 + 2.45 + 0.001*float64(k), DriftHzPerS: doppler,
		}
		cycle.EchoMidHz = cycle.ToneHz + doppler*(begin-middle)
		plan.Cycles = append(plan.Cycles, cycle)
		if !math.IsNaN(c.cn0DBHz) {
			at := (cycle.EchoStartS + want.delayMS/1000) * clock
			hz := cycle.EchoMidHz + want.offsetHz + ownDrift*(begin-middle)
			power := math.Pow(10, (c.cn0DBHz-c.weaker(k))/10)
			present += addEcho(r, audio, c.rateHz, at, hz, doppler, want.spreadHz, c.mhz, power)
		}
		if c.otherDBHz > 0 {
			addEcho(r, audio, c.rateHz, begin+3.6, 1480, 0, c.spreadHz, c.mhz, math.Pow(10, c.otherDBHz/10))
		}
	}
	want.presentDBHz = 10 * math.Log10(present/float64(c.cycles))
	spoil(r, audio, c, plan)
	return Recording{receive(r, audio, c, plan), c.rateHz}, plan, want
}

func (c recipe) weaker(cycle int) float64 {
	if c.weakerDB == nil {
		return 0
	}
	return c.weakerDB[cycle]
}

// addEcho adds complex noise shaped by the Moon's profile, on a carrier. It returns its mean power, which fades.
func addEcho(r *rand.Rand, audio []float64, rate, at, hz, drift, spread, mhz, power float64) (present float64) {
	n := int(simToneS * rate)
	envelope := Fading(r.NormFloat64, mhz, spread, rate, n)
	scale := math.Sqrt(2 * power)
	first := at * rate
	phase := r.Float64() * 2 * math.Pi
	for i := range n {
		k := int(first) + i
		if k < 0 || k >= len(audio) {
			continue
		}
		t := (float64(k)-first)/rate - simToneS/2
		sin, cos := math.Sincos(phase + 2*math.Pi*hz*t + math.Pi*drift*t*t)
		audio[k] += scale * (real(envelope[i])*cos - imag(envelope[i])*sin)
	}
	for _, e := range envelope {
		present += power * (real(e)*real(e) + imag(e)*imag(e)) / float64(n)
	}
	return present
}

// spoil adds carriers.
func spoil(r *rand.Rand, audio []float64, c recipe, p Plan) {
	start := p.Cycles[0].EchoMidHz + c.steadyOffset
	walk := p.Cycles[0].EchoMidHz - 0.65*simCycleS*float64(c.cycles)
	for i := range audio {
		t := float64(i) / c.rateHz
		if c.steadyDBHz > 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.steadyDBHz/10)) * math.Cos(2*math.Pi*start*t)
		}
		if c.keyedDBHz > 0 && int(t)%2 == 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.keyedDBHz/10)) * math.Cos(2*math.Pi*(start+17)*t)
		}
		if c.walkDBHz > 0 {
			audio[i] += math.Sqrt(2*math.Pow(10, c.walkDBHz/10)) * math.Cos(2*math.Pi*(walk*t+0.65*t*t))
		}
	}
	sigma := math.Sqrt(c.rateHz / 2)
	for _, cycle := range p.Cycles {
		for range c.crashes {
			from, long := int((cycle.EchoStartS+r.Float64()*simToneS)*c.rateHz), int((0.005+0.055*r.Float64())*c.rateHz)
			for i := from; i < min(from+long, len(audio)); i++ {
				audio[i] += 10 * sigma * r.NormFloat64()
			}
		}
	}
}

// filtered passes 250 to 2900 Hz, tilted, a cycle at a time: their ends lie in the muted part.
func filtered(r *rand.Rand, audio []float64, c recipe) []float64 {
	n := len(audio) / c.cycles
	fft := fourier.NewFFT(n)
	tilt := r.Float64()*2 - 1
	gain := make([]complex128, n/2+1)
	for i := range gain {
		if f := float64(i) * c.rateHz / float64(n); f >= 250 && f <= 2900 {
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
func receive(r *rand.Rand, audio []float64, c recipe, p Plan) []float64 {
	n := len(audio)
	out := filtered(r, audio, c)
	level, power := 1.0, 0.0
	for i := range out {
		level *= 1 + 0.3*r.NormFloat64()/math.Sqrt(c.rateHz)
		level = max(0.5, min(2, level))
		out[i] *= level
		if c.gain {
			power += (out[i]*out[i] - power) / (0.4 * c.rateHz)
			out[i] /= math.Sqrt(max(power, 1))
		}
	}
	peak := 0.0
	for i := range out {
		peak += out[i] * out[i] / float64(n)
	}
	for i := range out {
		out[i] *= 0.1 / math.Sqrt(peak) // -20 dB below full scale
		if c.clip {
			out[i] = max(-0.15, min(0.15, out[i]))
		}
	}
	for _, cycle := range p.Cycles {
		for i := int(cycle.KeyS * c.rateHz); i < min(n, int(cycle.KeyOffS*c.rateHz)); i++ {
			out[i] *= 0.003
		}
		for range c.gaps {
			from, long := int((cycle.EchoStartS+r.Float64()*simToneS)*c.rateHz), int(0.4*r.Float64()*c.rateHz)
			for i := from; i < min(from+long, n); i++ {
				out[i] = 0
			}
		}
	}
	return out
}
