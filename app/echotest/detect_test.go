//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The bands and spreads that are tried, with K cycles of 2 s: z is C/N0 times the root of
// K T / Be, how far the echo stands over the noise in its own width.
var bands = []struct{ mhz, spread float64 }{{144, 1.5}, {432, 5}, {1296, 15}, {1296, 30}, {5760, 80}, {10368, 180}}

func noiseHz(mhz, spread float64) float64 {
	p := newProfile(surface(mhz))
	return noiseWidth(p.kernel(spread, simToneS, 1/simToneS)) / simToneS
}

// cn0For is the C/N0, dB-Hz, at which z has a value.
func cn0For(z, mhz, spread float64, cycles int) float64 {
	return 10 * math.Log10(z/math.Sqrt(float64(cycles)*simToneS/noiseHz(mhz, spread)))
}

// score sums up trials.
type score struct {
	tried, found                 int
	strength, frequency, stretch float64 // sums of squares: dB, in units of the tolerance, octaves
	delay                        float64
	bias, beside                 float64 // strength: sum, dB; square of what it is off from what was present
}

func (s *score) add(r Result, want truth) {
	s.tried++
	if !r.Detected {
		return
	}
	s.found++
	s.strength += math.Pow(r.CN0DBHz-want.cn0DBHz, 2)
	s.bias += r.CN0DBHz - want.cn0DBHz
	s.beside += math.Pow(r.CN0DBHz-want.presentDBHz, 2)
	s.frequency += math.Pow((r.OffsetHz-want.offsetHz)/max(0.6, 0.06*want.spreadHz), 2)
	s.stretch += math.Pow(math.Log2(r.SpreadHz/want.spreadHz), 2)
	s.delay += math.Pow(r.DelayErrorMS-want.delayMS, 2)
}

func (s *score) rms(sum float64) float64 { return math.Sqrt(sum / float64(max(1, s.found))) }

func detect(t *testing.T, r *rand.Rand, c recipe) (Result, truth) {
	t.Helper()
	recording, plan, want := simulate(r, c)
	result, err := Detect(recording, plan)
	if err != nil {
		t.Fatal(err)
	}
	return result, want
}

// rateOf is the least rate that passes a voice well, where less is to be calculated, and now and then another.
func rateOf(r *rand.Rand) float64 {
	return []float64{8000, 8000, 8000, 8000, 8000, 8000, 12000, 11025}[r.IntN(8)]
}

// random spoiling, as a receiver in use meets it.
func spoiled(r *rand.Rand, c recipe) recipe {
	switch r.IntN(8) {
	case 0:
		c.steadyDBHz, c.steadyOffset = 10+14*r.Float64(), (r.Float64()*2-1)*60
	case 1:
		c.keyedDBHz, c.steadyOffset = 10+14*r.Float64(), (r.Float64()*2-1)*40
	case 2:
		c.walkDBHz = 10 + 10*r.Float64()
	case 3:
		c.otherDBHz = 8 + 8*r.Float64()
	case 4:
		c.gain = true
	case 5:
		c.crashes, c.gaps = 2, 1
	case 6:
		c.clip = true
	}
	return c
}

func TestStrengthBands(t *testing.T) {
	for _, class := range []struct {
		name      string
		low, high float64
		least     float64 // share found
	}{{"z over 40", 42, 120, 1}, {"z 14 to 25", 14, 25, 0.98}, {"z 7 to 8.5", 7, 8.5, 0.9}} {
		t.Run(class.name, func(t *testing.T) {
			var all score
			for i, b := range bands {
				r := rand.New(rand.NewPCG(7, uint64(i)))
				for range perBand {
					k := []int{5, 10, 20, 30}[r.IntN(4)]
					if b.spread < 2 {
						k = max(k, 10) // a narrow echo can fade for five cycles
					}
					z := class.low + (class.high-class.low)*r.Float64()
					c := recipe{mhz: b.mhz, spreadHz: b.spread, cycles: k, rateHz: rateOf(r)}
					c.cn0DBHz = cn0For(z, b.mhz, b.spread, k)
					c = spoiled(r, c)
					result, want := detect(t, r, c)
					if !result.Detected {
						t.Logf("%s: missed %+v, probability of noise %.2g", class.name, c, result.NoiseProbability)
					}
					all.add(result, want)
				}
			}
			strength, frequency := all.rms(all.strength), all.rms(all.frequency)
			t.Logf("%s: found %d of %d; rms: strength %.2f dB (mean %+.2f; from what was present %.2f), "+
				"frequency %.2f of max(0.6 Hz, 6 %% of the spread), spread %.2f octaves, delay %.1f ms",
				class.name, all.found, all.tried, strength, all.bias/float64(max(1, all.found)), all.rms(all.beside),
				frequency, all.rms(all.stretch), all.rms(all.delay))
			if all.found < int(class.least*float64(all.tried)) {
				t.Errorf("%s: found %d of %d", class.name, all.found, all.tried)
			}
			if class.low > 10 && (strength > strengthBound || frequency > 1) {
				t.Errorf("%s: strength %.2f dB, frequency %.2f tolerances rms", class.name, strength, frequency)
			}
		})
	}
}

func TestNoEchoIsNoEcho(t *testing.T) {
	found, tried := 0, 0
	for i, b := range bands {
		r := rand.New(rand.NewPCG(11, uint64(i)))
		for range emptyPerBand {
			k := []int{5, 10, 20}[r.IntN(3)]
			c := spoiled(r, recipe{mhz: b.mhz, spreadHz: b.spread, cycles: k, rateHz: rateOf(r), cn0DBHz: math.NaN()})
			result, _ := detect(t, r, c)
			tried++
			if result.Detected {
				found++
				t.Logf("false alarm: %+v: %+v", c, result)
			}
		}
	}
	t.Logf("%d false alarms in %d recordings without an echo", found, tried)
	if float64(found) > math.Max(1, 0.005*float64(tried)) {
		t.Errorf("%d false alarms of %d", found, tried)
	}
}

func BenchmarkDetect(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 1))
	recording, plan, _ := simulate(r, recipe{mhz: 5760, spreadHz: 80, cycles: 20, rateHz: 12000, cn0DBHz: 15})
	for b.Loop() {
		if _, err := Detect(recording, plan); err != nil {
			b.Fatal(err)
		}
	}
}
