package echotest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A carrier that walks is found with its frequency, its rate and its power, behind a narrow echo's window and
// through a wide one's; in noise alone hardly any is.
func TestTracksOfCarriers(t *testing.T) {
	const rate, hz, walk, cn0 = 8000.0, 23.0, 1.1, 60.0
	r := rand.New(rand.NewPCG(8, 8))
	samples := make([]float64, 12*int(rate))
	c := Cycle{KeyS: 0, KeyOffS: 2.4, ToneS: 2, EchoStartS: 2.8, EchoMidHz: 1500}
	later := c
	later.KeyS, later.KeyOffS, later.EchoStartS = 6, 8.4, 8.8
	for i := range samples {
		at := (float64(i)+0.5)/rate - (c.EchoStartS + 1)
		samples[i] = math.Sqrt(rate/2)*r.NormFloat64() +
			math.Sqrt(2*cn0)*math.Cos(2*math.Pi*(1500+hz)*at+math.Pi*walk*at*at)
		if i >= 6*int(rate) {
			samples[i] = math.Sqrt(rate/2) * r.NormFloat64()
		}
	}
	for _, spread := range []float64{1.5, 80} {
		p := Plan{Cycles: []Cycle{c, later}, SpreadHz: spread, SearchHz: 50, DriftLimitHzPerS: 0.05}
		recording := Recording{samples, rate}
		f := frameOf(p, rate)
		list := spectra(recording, p, f)
		if len(list) != 2 || len(list[0].tracks) == 0 || len(list[1].tracks) > 1 {
			t.Fatalf("spread %g: %+v", spread, list)
		}
		found := list[0].tracks[0]
		t.Logf("spread %g: %+v", spread, found)
		if math.Abs(found.hz-hz) > 1.5 || math.Abs(found.hzPerS-walk) > 0.6 ||
			found.cn0 < cn0/2 || found.cn0 > 1.5*cn0 {
			t.Errorf("spread %g: %+v", spread, found)
		}
		list[0].maskTracks(f)
		for _, aside := range []float64{-walk, 0, walk} {
			if bin := f.reach + int(math.Round((hz+aside)/f.binHz)); !math.IsNaN(list[0].power[bin]) {
				t.Errorf("spread %g: %g Hz beside the carrier isn't masked", spread, aside)
			}
		}
	}
}

// A carrier is found behind a fading narrow echo, whose peaks stand out more but end with it.
func TestANarrowEchoHidesNoCarrier(t *testing.T) {
	const rate, carrierHz = 8000.0, 31.0
	c := Cycle{KeyS: 0, KeyOffS: 2.4, ToneS: 2, EchoStartS: 2.8, EchoMidHz: 1500}
	later := c
	later.KeyS, later.KeyOffS, later.EchoStartS = 6, 8.4, 8.8
	r := rand.New(rand.NewPCG(8, 10))
	samples := make([]float64, 12*int(rate))
	for i := range samples {
		at := float64(i) / rate
		samples[i] = math.Sqrt(rate/2)*r.NormFloat64() +
			math.Sqrt(2*30)*math.Cos(2*math.Pi*(1500+carrierHz)*at)
		if at -= c.EchoStartS; at >= 0 && at < c.ToneS {
			for k, hz := range []float64{-2.5, 0, 2.5} {
				samples[i] += math.Sqrt(2*100) * math.Cos(2*math.Pi*(1500+hz)*at+float64(k))
			}
		}
	}
	p := Plan{Cycles: []Cycle{c, later}, SpreadHz: 5, SearchHz: 50, DriftLimitHzPerS: 0.05}
	recording := Recording{samples, rate}
	list := spectra(recording, p, frameOf(p, rate))
	if len(list) != 2 || len(list[0].tracks) != 1 || math.Abs(list[0].tracks[0].hz-carrierHz) > 1 {
		t.Errorf("%+v", list[0].tracks)
	}
}

// A tone that ends with the echo is no carrier where a narrow echo could be one.
func TestANarrowEchoIsNoCarrier(t *testing.T) {
	const rate = 8000.0
	c := Cycle{KeyS: 0, KeyOffS: 2.4, ToneS: 2, EchoStartS: 2.8, EchoMidHz: 1500}
	later := c
	later.KeyS, later.KeyOffS, later.EchoStartS = 6, 8.4, 8.8
	r := rand.New(rand.NewPCG(8, 9))
	for _, cn0 := range []float64{20, 100, 500} {
		samples := make([]float64, 12*int(rate))
		for i := range samples {
			samples[i] = math.Sqrt(rate/2) * r.NormFloat64()
			if at := float64(i)/rate - c.EchoStartS; at >= 0 && at < c.ToneS {
				samples[i] += math.Sqrt(2*cn0) * math.Cos(2*math.Pi*1510*at)
			}
		}
		p := Plan{Cycles: []Cycle{c, later}, SpreadHz: 1.5, SearchHz: 50, DriftLimitHzPerS: 0.05}
		recording := Recording{samples, rate}
		if list := spectra(recording, p, frameOf(p, rate)); len(list) != 2 || len(list[0].tracks) != 0 {
			t.Errorf("%g Hz: %+v", cn0, list[0].tracks)
		}
	}
}
