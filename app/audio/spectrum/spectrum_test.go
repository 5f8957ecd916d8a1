package spectrum

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// sine is a sine of amplitude 1 at a rate.
func sine(n int, hz, rate float64) []float32 {
	s := make([]float32, n)
	for i := range s {
		s[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / rate))
	}
	return s
}

func db(x float64) float64 { return 10 * math.Log10(x) }

// The filter is flat where it should be, and what lies too high is gone.
func TestDecimator(t *testing.T) {
	for _, row := range []struct {
		hz, low, high float64 // dB of what comes out
	}{
		{50, -0.01, 0.01}, {1000, -0.01, 0.01}, {2700, -0.01, 0.01}, {PassHz, -0.01, 0.01},
		{6000, -6.3, -5.7}, // the middle of the transition: half the amplitude
		{8000, -300, -80}, {9300, -300, -80}, {11000, -300, -80}, {13000, -300, -80}, {20000, -300, -80},
	} {
		out := NewDecimator().Lower(sine(48000, row.hz, 48000), nil)
		if len(out) != 12000 {
			t.Fatalf("%d samples", len(out))
		}
		sum := 0.0
		for _, x := range out[100:] {
			sum += float64(x) * float64(x) / float64(len(out)-100)
		}
		if got := db(2 * sum); (got < row.low || got > row.high) && row.hz != 6000 || row.hz == 6000 && got > -2.9 {
			t.Errorf("%g Hz: %.3f dB, want %g to %g", row.hz, got, row.low, row.high)
		}
	}
	// Blocks of any length give the same.
	whole, parts, d := NewDecimator().Lower(sine(4800, 700, 48000), nil), []float32(nil), NewDecimator()
	for in, n := sine(4800, 700, 48000), 0; len(in) > 0; in = in[n:] {
		n = min(len(in), 1+n%37+7)
		parts = d.Lower(in[:n], parts)
	}
	for i := range whole {
		if whole[i] != parts[i] {
			t.Fatalf("sample %d is %g in one piece and %g in parts", i, whole[i], parts[i])
		}
	}
	// The delay that is stated: a tone's phase.
	out := NewDecimator().Lower(sine(48000, 500, 48000), nil)
	for i := 100; i < 200; i++ {
		// Sample i was complete with the 48 kHz sample 4i+3.
		at := (float64(4*i+3) - DelaySamples*Factor) / 48000
		if want := math.Sin(2 * math.Pi * 500 * at); math.Abs(float64(out[i])-want) > 2e-3 {
			t.Fatalf("sample %d: %g, want %g", i, out[i], want)
		}
	}
}

// Harris 1978, table I, for Hann's window: noise bandwidth 1.50 bins, scalloping 1.42 dB, highest side lobe -32 dB (1
// %: -31.5).
func TestWindowAgainstHarris(t *testing.T) {
	const n = 4096
	p := NewPower(n)
	of := func(bin float64) []float64 {
		power := make([]float64, p.Bins())
		p.Add(sine(n, bin*Rate/n, Rate), power)
		return power
	}
	on, between := of(500), of(500.5)
	if got := db(on[500] / 0.5); math.Abs(got) > 1e-4 {
		t.Errorf("a sine of amplitude 1 on a bin has %.5f dB over 1/2", got)
	}
	if got := db(on[500] / between[500]); math.Abs(got-1.42) > 0.005 {
		t.Errorf("scalloping %.3f dB, Harris 1.42", got)
	}
	// The side lobes, scanned beyond the main lobe's zero at 2 bins.
	worst := math.Inf(-1)
	for off := 2.0; off < 6; off += 0.02 {
		worst = max(worst, db(of(500 + off)[500]/0.5))
	}
	if math.Abs(worst+31.5) > 0.3 {
		t.Errorf("highest side lobe %.2f dB, Harris -32 (-31.5)", worst)
	}
	// White noise of variance 1: per bin its density 2/rate times the noise bandwidth, 1.5 bins of rate/n.
	chance, noise, power := rand.New(rand.NewPCG(3, 1)), make([]float32, n), make([]float64, p.Bins())
	const pieces = 200
	for range pieces {
		for i := range noise {
			noise[i] = float32(chance.NormFloat64())
		}
		p.Add(noise, power)
	}
	mean := 0.0
	for _, v := range power[10:2038] {
		mean += v / pieces / 2028
	}
	if got := mean / (2.0 / n); math.Abs(got-1.5) > 0.01 {
		t.Errorf("noise bandwidth %.4f bins, Harris 1.50", got)
	}
}

// The floor of noise is its mean, whatever the number of spectra, and strong lines in a tenth of the bins leave it.
func TestFloor(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 2))
	var scratch []float64
	for _, m := range []int{1, 2, 5, 20, 100} {
		mean := 0.0
		const rounds = 40
		for range rounds {
			power := make([]float64, 1000)
			for i := range power {
				for range m {
					power[i] += 3 * chance.ExpFloat64() / float64(m)
				}
				if i%20 == 0 {
					power[i] = 1e6
				}
			}
			var floor float64
			floor, scratch = Floor(power, float64(m), scratch)
			mean += floor / rounds
		}
		if off := db(mean / 3); off < -0.1 || off > 0.45 { // a twentieth of lines lifts the median a little
			t.Errorf("mean of %d: the floor is %.2f dB off", m, off)
		}
	}
	if f, _ := Floor(nil, 1, nil); !math.IsNaN(f) {
		t.Error("a floor of nothing")
	}
}

func BenchmarkPower(b *testing.B) {
	p := NewPower(4096)
	in, out := sine(4096, 1000, Rate), make([]float64, p.Bins())
	for b.Loop() {
		p.Add(in, out)
	}
}

func BenchmarkDecimator(b *testing.B) { // of 100 ms
	d, in := NewDecimator(), sine(4800, 1000, 48000)
	var out []float32
	for b.Loop() {
		out = d.Lower(in, out[:0])
	}
}

// The median without sorting is that of sorting, in every order that there is, with equal values too.
func TestOrdered(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 4))
	for n := 1; n < 200; n++ {
		values := make([]float64, n)
		for i := range values {
			values[i] = float64(chance.IntN(1 + n/2))
		}
		sorted := slices.Sorted(slices.Values(values))
		place := chance.IntN(n)
		if got := ordered(values, place); got != sorted[place] {
			t.Fatalf("of %d values the one at %d is %g, want %g", n, place, got, sorted[place])
		}
		if slices.Max(values[:place+1]) != sorted[place] || slices.Min(values[place:]) != sorted[place] {
			t.Fatalf("of %d values, parted at %d: %v", n, place, values)
		}
	}
}
