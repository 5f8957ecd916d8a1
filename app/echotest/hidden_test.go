//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// underAnother are cycles of an own echo, which moves from cycle to cycle, beside another station's, which stays at
// 1480 Hz and lasts through the quiet time.
func underAnother(r *rand.Rand, f frame, p Plan, cycles int, ownHz, ownDBHz,
	otherDBHz float64) (list []spectrum) {
	quieter := f
	quieter.toneS = maxQuietS
	quieter.samples = int(float64(f.samples) * maxQuietS / f.toneS)
	for k := range cycles {
		midHz := 1500 + 6*float64(k*2%cycles-cycles/2)
		put := func(f frame, hz, dBHz float64) func(window []complex128) {
			rate := float64(f.samples) / f.toneS
			size := complex(math.Sqrt(math.Pow(10, dBHz/10)*f.toneS)/float64(f.samples), 0)
			return func(window []complex128) {
				for i, e := range Fading(r.NormFloat64, p.MHz, p.SpreadHz, rate, f.samples) {
					sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / rate)
					window[i] += e * complex(cos, sin) * size
				}
			}
		}
		one := inNoise(r, f, 1, func(window []complex128) {
			put(f, ownHz, ownDBHz)(window)
			put(f, 1480-midHz, otherDBHz)(window)
		})[0]
		one.quiet = inNoise(r, quieter, 1, put(quieter, 1480-midHz, otherDBHz))[0].power
		one.midHz, one.atS, one.quietS = midHz, 6*float64(k), maxQuietS
		list = append(list, one)
	}
	return list
}

// The probability told of an echo that is found only once another station's is removed has the penalty of the removal.
func TestTheRemovalOfAnotherStationCountsInTheProbability(t *testing.T) {
	const cycles = 5
	f := frame{samples: 512, padded: 512, toneS: 2, binHz: 0.5, reach: 200}
	p := Plan{SpreadHz: 30, MHz: 1296, SearchHz: 50}
	shape := newProfile(surface(p.MHz))
	kernel := likeliest(shape.kernel(p.SpreadHz, f.toneS, f.binHz), f, cycles)
	r := rand.New(rand.NewPCG(23, 0))
	found, missed := 0, 0
	for range 12 {
		list := underAnother(r, f, p, cycles, 4, 12, 16)
		got := lookIn(list, f, p) // masks lines in the list
		chance := chanceOf(list, kernel, f, p)
		_, before, denied := lasting(list, f, p, kernel, chance)
		if before <= falseAlarms || denied == nil {
			continue
		}
		_, rest, other := refined(list, f, p, shape, *denied)
		if other.strength == 0 {
			continue
		}
		best, plain, _ := lasting(rest, f, p, kernel, chance)
		if want := min(1, 30*plain); math.Abs(got.NoiseProbability-want) > 1e-9*want ||
			got.Detected != (want <= falseAlarms) {
			t.Errorf("%v with a probability of %.3g, not %.3g", got.Detected, got.NoiseProbability, want)
		}
		if !got.Detected {
			missed++
			continue
		}
		found++
		if math.Abs(got.OffsetHz-4) > 6 || got.best != best {
			t.Errorf("%+v", got.Result)
		}
	}
	t.Logf("found %d, missed %d", found, missed)
	if found < 3 {
		t.Errorf("found %d only", found)
	}
}
