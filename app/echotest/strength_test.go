//go:build !race

// Without the race detector, for which it takes minutes: nothing here runs beside anything.

package echotest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The floor of noise is its level: a straight line through pieces of it is neither high nor low, whichever pieces it
// leaves out.
func TestTheFloorOfNoiseIsItsLevel(t *testing.T) {
	const tries, pieces, each = 3000, 32, 50
	r := random(9)
	x, y, piece := make([]float64, pieces), make([]float64, pieces), make([]float64, each)
	sum := 0.0
	for range tries {
		for i := range x {
			for k := range piece {
				piece[k] = r.exponential()
			}
			x[i] = pieceHz * (float64(i) - (pieces-1)/2.)
			y[i], _, _ = logLevel(piece)
		}
		level, _ := straightLine(x, y)
		sum += level
	}
	// A mean of so many scatters by 0.0006.
	if mean := sum / tries; math.Abs(mean) > 0.0024 {
		t.Errorf("%.2f %% of the noise off", 100*mean)
	}
}

// A tone between two bins has (2/pi)^2 of its power in each of them: the square of sinc(1/2).
func TestTheLobesLeftOutHaveTheirShare(t *testing.T) {
	bins := newProfile(surface(144)).fine(0, 2, 0.5).at(0.5)
	for _, bin := range []int{len(bins) / 2, len(bins)/2 + 1} {
		if want := 4 / (math.Pi * math.Pi); math.Abs(bins[bin]-want) > 0.002 {
			t.Errorf("%.4f of the power, not %.4f", bins[bin], want)
		}
	}
}

// The logarithm of a mean of n exponentials is on average psi(n) - ln n, where psi(n) = -0.577216 + 1 + 1/2 + ... +
// 1/(n-1) (Abramowitz and Stegun 1964, 6.3.2; from memory).
func TestLogarithmOfAMeanIsLow(t *testing.T) {
	for _, n := range []int{10, 40} {
		low := math.Log(float64(n)) + 0.577216
		for i := 1; i < n; i++ {
			low -= 1 / float64(i)
		}
		got, want := logarithmLow(10/math.Ln10/math.Sqrt(float64(n))), 10/math.Ln10*low
		if math.Abs(got-want) > 0.03*want {
			t.Errorf("of %d: %.4f dB, not %.4f", n, got, want)
		}
	}
}

// heard is what cycles of an echo in noise look like.
func heard(r *rand.Rand, f frame, mhz, spreadHz, offsetHz, cn0Hz float64, cycles int) []spectrum {
	rate := float64(f.samples) / f.toneS
	return inNoise(r, f, cycles, func(window []complex128) {
		for i, e := range Fading(r.NormFloat64, mhz, spreadHz, rate, f.samples) {
			sin, cos := math.Sincos(2 * math.Pi * offsetHz * float64(i) / rate)
			window[i] = e * complex(cos, sin) * complex(math.Sqrt(cn0Hz*f.toneS)/float64(f.samples), 0)
		}
	})
}

// Strengths in decibels are right on average, of echoes that fade for whole cycles too.
func TestStrengthsAreRightOnAverage(t *testing.T) {
	for _, c := range []struct {
		mhz, spreadHz, cn0Hz float64
		padded, tries        int
	}{{144, 1.5, 5.5, 512, 250}, {432, 5, 9, 256, 40}} {
		f := frame{samples: 256, padded: c.padded, toneS: 2, binHz: 128 / float64(c.padded)}
		f.reach = int(30 / f.binHz)
		shape := newProfile(surface(c.mhz))
		r := rand.New(rand.NewPCG(31, uint64(c.mhz)))
		sum, square := 0.0, 0.0
		for range c.tries {
			offset := r.Float64() - 0.5
			list := heard(r, f, c.mhz, c.spreadHz*(0.7+0.8*r.Float64()), offset, c.cn0Hz, 6)
			p := Plan{SpreadHz: c.spreadHz, MHz: c.mhz}
			stack := stacked(list, f, 0, f.reach, keptMean)
			x := fitOf(stack, nil, f, p, shape, f.reach+int(math.Round(offset/f.binHz)), len(list))
			db, _, _ := x.inDecibels(f, shape, len(list), 0)
			off := db - 10*math.Log10(c.cn0Hz)
			sum, square = sum+off, square+off*off
		}
		n := float64(c.tries)
		mean, rms := sum/n, math.Sqrt(square/n)
		t.Logf("%g MHz: %+.2f dB on average, %.2f rms", c.mhz, mean, rms)
		if math.Abs(mean) > 0.2 { // of which chance makes 0.1 dB
			t.Errorf("%g MHz: %+.2f dB on average", c.mhz, mean)
		}
	}
}

// Where all spreads are as likely, the mean lies in their middle; where one is certain, there.
func TestMeanOfSpreads(t *testing.T) {
	ridge := make([]crest, 2*stretchSteps+1)
	for i := range ridge {
		ridge[i] = crest{offset: 2, logStrength: float64(i)}
	}
	// The scatter of what lies evenly over 12 steps is 12/√12.
	if mean, at, scatter := meanOf(ridge); math.Abs(at-stretchSteps) > 1e-9 || math.Abs(mean.offset-2) > 1e-9 ||
		math.Abs(mean.logStrength-stretchSteps) > 1e-9 || math.Abs(scatter-12/math.Sqrt(12)) > 0.1 {
		t.Errorf("%+v at %g, scatter %g", mean, at, scatter)
	}
	for i := range ridge {
		off := float64(i) - 9.3
		ridge[i].cost = 30 * off * off
	}
	if mean, at, scatter := meanOf(ridge); math.Abs(at-9.3) > 0.02 || math.Abs(mean.logStrength-9.3) > 0.02 ||
		math.Abs(scatter-1/math.Sqrt(60)) > 0.02 {
		t.Errorf("%+v at %g, scatter %g", mean, at, scatter)
	}
}

// The stated error of a strength counts how well noise and spread are known; the strength itself doesn't change by it.
func TestStatedErrorCountsNoiseAndSpread(t *testing.T) {
	f := frame{samples: 2048, padded: 2048, toneS: 2, binHz: 0.5}
	shape := newProfile(surface(10368))
	stated := func(floor, bySpread float64) (db, errorDB float64) {
		x := fit{spreadHz: 180, strength: 40, bySpread: bySpread}
		db, errorDB, _ = x.inDecibels(f, shape, 10, floor)
		return db, errorDB
	}
	db, alone := stated(0, 0)
	width := noiseWidth(shape.kernel(180, f.toneS, f.binHz)) * f.binHz
	for _, c := range []struct{ floor, bySpread, share float64 }{
		{0.01, 0, 0.01 * (1 + width/20)}, // C/N0, 20 Hz, moves by 1 % of itself and of the width
		{0, 0.06, 0.06},
	} {
		got, errorDB := stated(c.floor, c.bySpread)
		want := math.Hypot(alone, 10/math.Ln10*c.share)
		if got != db || math.Abs(errorDB-want) > 1e-9 || want < 1.02*alone {
			t.Errorf("%+v: %g dB, error %g, want %g, without it %g", c, got-db, errorDB, want, alone)
		}
	}
}

// A stack without any noise leaves the spread uncertain too: its fit says so.
func TestAFitTellsWhatTheSpreadMakesOfItsStrength(t *testing.T) {
	f := frame{samples: 256, padded: 256, toneS: 2, binHz: 0.5, reach: 100}
	shape := newProfile(surface(432))
	stack := fit{spreadHz: 12, strength: 18}.model(f, shape)
	for i := range stack {
		stack[i]++
	}
	x := fitOf(stack, nil, f, Plan{SpreadHz: 12, MHz: 432}, shape, f.reach, 6)
	if x.bySpread < 0.01 || x.bySpread > 0.5 {
		t.Errorf("%.3f of the strength", x.bySpread)
	}
}
