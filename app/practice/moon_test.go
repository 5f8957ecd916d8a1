package practice

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/echotest"
)

// run sends ten bursts to a moon and gives what a receiver hears of it, with the plan of the cycles. shift is how
// much later than planned the echoes come.
func run(seed uint64, dbhz float64, shift time.Duration) (heard []float64, plan []echotest.Cycle) {
	const delay, doppler, spread = 2.45, 730.0, 12.0
	began := time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)
	m := NewMoon(seed, func(time.Time, time.Duration) Return {
		return Return{Delay: time.Duration(delay*1e9) + shift, DopplerHz: doppler, SpreadHz: spread, DBHz: dbhz, MHz: 1296}
	})
	chance := rand.New(rand.NewPCG(seed, 1))
	filter := spectrum.NewDecimator()
	block, low := make([]float32, audio.Rate/50), []float32(nil)
	for i := range 61 * 50 {
		at := began.Add(time.Duration(i) * 20 * time.Millisecond)
		cycle, since := i/300, float64(i%300)/50
		hz := 500 + 6*float64((cycle*7)%10)
		clear(block)
		if since >= 0.3 && since < 2.3 && cycle < 10 {
			for k := range block {
				block[k] = float32(0.5 * math.Sin(2*math.Pi*hz*(since+float64(k)/audio.Rate)))
			}
		}
		if i%300 == 0 && cycle < 10 {
			plan = append(plan, echotest.Cycle{KeyS: 6 * float64(cycle), KeyOffS: 6*float64(cycle) + 2.4,
				ToneStartS: 6*float64(cycle) + 0.3, ToneS: 2, ToneHz: hz, EchoStartS: 6*float64(cycle) + 0.3 + delay, EchoMidHz: hz + doppler})
		}
		m.Send(at, block)
		back := make([]float64, len(block))
		m.Hear(at, back, 2.0/audio.Rate)
		for k := range block {
			block[k] = float32(0.05 * (back[k] + chance.NormFloat64()))
		}
		low = filter.Lower(block, low)
	}
	for _, x := range low {
		heard = append(heard, float64(x))
	}
	return heard, plan
}

// What the moon returns is found with the strength, width, frequency and time that it was returned with; nothing is
// found where nothing is returned.
func TestTheMoonReturnsWhatIsSent(t *testing.T) {
	heard, plan := run(3, 20, 40*time.Millisecond)
	r := ownecho.Judge(heard, spectrum.Rate, 0, plan, 1296, 12, 2)
	if !r.Detected || math.Abs(r.CN0DBHz-20) > 3*max(0.3, r.CN0ErrorDB) || math.Abs(r.OffsetHz) > 1.5 ||
		r.SpreadHz < 8 || r.SpreadHz > 18 ||
		math.Abs(r.DelayErrorMS-40) > 25 {
		t.Errorf("%+v", r)
	}
	heard, plan = run(4, math.Inf(-1), 0)
	if r := ownecho.Judge(heard, spectrum.Rate, 0, plan, 1296, 12, 2); r.Detected || r.NoiseProbability < 1e-3 {
		t.Errorf("of nothing: %+v", r)
	}
}
