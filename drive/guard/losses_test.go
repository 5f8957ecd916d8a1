package guard

import (
	"math"
	"testing"
)

// run is an axis in fast motion, and what is made of it. It goes as its drive says
// by the slope that is set, at that part of its top speed, and counts that part of its way.
type run struct {
	name         string
	drive        func(tick int) float64
	speed, count float64
	amperes      float64 // NaN: not fitted
	gain         float64
	change       func(c *AxisConfig, f *AxisFacts)
	// degrees of its true way from the loss, six seconds after the start, until it is found; 0: never
	within float64
}

// What a sound axis may do is no loss; what an encoder loses is found within
// degrees of the true way, as 0.41 degree of it is lacking.
func TestLossesInFastMotion(t *testing.T) {
	full := func(int) float64 { return 1 }
	part := func(int) float64 { return 0.67 }
	down := func(int) float64 { return -1 }
	bursts := func(k int) float64 { // ten ticks of drive, five without
		if k%15 < 10 {
			return 0.9
		}
		return 0
	}
	round := func(k int) float64 { // eight seconds each way
		if k/80%2 == 1 {
			return -1
		}
		return 1
	}
	nobody := math.NaN()
	untrusted := func(_ *AxisConfig, f *AxisFacts) { f.Trusted = false }
	unrated := func(c *AxisConfig, _ *AxisFacts) { c.RatedA = 0 }
	steps := func(c *AxisConfig, _ *AxisFacts) { c.Speeds = 3 }
	fine := func(c *AxisConfig, _ *AxisFacts) { c.Step /= 9 }
	for _, w := range []run{
		{name: "sound", drive: full, speed: 1, count: 1, amperes: 2.8, gain: 1},
		{name: "sound, to and fro", drive: round, speed: 1, count: 1, amperes: 2.8, gain: 1},
		{name: "sound, in bursts", drive: bursts, speed: 1, count: 1, amperes: 2.8, gain: 1},
		{name: "sound, slower than is set", drive: full, speed: 0.6, count: 1, amperes: 2.8, gain: 0.6},
		{name: "sound, faster than is set", drive: full, speed: 1.5, count: 1, amperes: 2.8, gain: 1.5},
		{name: "stiff, as its current shows", drive: full, speed: 0.5, count: 1, amperes: 8, gain: 1},
		{name: "stiff, its current unknown", drive: full, speed: 0.5, count: 1, amperes: nobody, gain: 1},
		{name: "stiff, the rated current unknown", drive: full, speed: 0.5, count: 1, amperes: 2.8, gain: 1,
			change: unrated},
		{name: "half the speed, not referenced", drive: full, speed: 0.5, count: 1, amperes: 2.8, gain: 1,
			change: untrusted},
		{name: "half the speed by steps", drive: full, speed: 0.5, count: 1, amperes: 2.8, gain: 1, change: steps},
		{name: "half is lost", drive: full, speed: 1, count: 0.5, amperes: 2.8, gain: 1, within: 2.5},
		{name: "half is lost of fine counts", drive: full, speed: 1, count: 0.5, amperes: 2.8, gain: 1, change: fine,
			within: 2.5},
		{name: "half is lost downwards", drive: down, speed: 1, count: 0.5, amperes: -2.8, gain: 1, within: 2.5},
		{name: "half is lost at two thirds of top speed", drive: part, speed: 1, count: 0.5, amperes: 2.8, gain: 1,
			within: 2.5},
		{name: "most is lost, in bursts", drive: bursts, speed: 1, count: 0.1, amperes: 2.8, gain: 1, within: 4},
		{name: "half is lost, to and fro", drive: round, speed: 1, count: 0.5, amperes: 2.8, gain: 1, within: 6},
		{name: "most is lost", drive: full, speed: 1, count: 0.2, amperes: 2.8, gain: 1, within: 1.5},
		{name: "most is lost, the current unknown", drive: full, speed: 1, count: 0.1, amperes: nobody, gain: 1,
			within: 2.5},
		{name: "most is lost, no trust", drive: full, speed: 1, count: 0.1, amperes: 2.8, gain: 1, change: untrusted,
			within: 2.5},
		{name: "all is lost: others tell of it", drive: full, speed: 1, count: 0, amperes: 2.8, gain: 1},
	} {
		if got := w.found(); w.within == 0 && got != 0 || w.within != 0 && (got == 0 || got > w.within) {
			t.Errorf("%s: found after %.2f degrees, want %v", w.name, got, w.within)
		}
	}
}

// found is the true way in degrees until the axis is behind, 0 where it never is.
func (w *run) found() float64 {
	c := axisConfig()
	f := AxisFacts{CurrentA: w.amperes, Gain: w.gain, Trusted: true}
	if w.change != nil {
		w.change(&c, &f)
	}
	var a travel
	var duty, way, counted float64
	for k := range 600 {
		f.Applied = w.drive(k)
		duty += max(-c.slope(0.1), min(c.slope(0.1), f.Applied-duty))
		moved := w.speed * duty * c.TopSpeed.Rad() * 0.1
		if counted += moved; k > 60 {
			way, counted = way+math.Abs(moved), counted-(1-w.count)*moved
		}
		f.Counts = int32(math.Floor(counted / c.Step.Rad()))
		if a.update(&c, &f, uint32(10_000+100*k)); a.Behind {
			return max(way*180/math.Pi, 0.001)
		}
	}
	return 0
}

// What an axis lacked is forgotten where its trust ends or begins, and where it gave
// no count at all: others told of that, and it may have been mended since.
func TestLossesAreForgotten(t *testing.T) {
	for _, w := range []struct {
		name            string
		last            int     // ticks of drive
		count           float64 // part of the way that is counted
		trusted, forget bool    // at the end
	}{
		{"the drive ends", 25, 0.5, true, false},
		{"the drive ends, and the trust", 25, 0.5, false, true},
		{"the drive of an axis that stood ends", 25, 0, true, true},
	} {
		c := axisConfig()
		var a travel
		maximum, counted := 0.0, 0.0
		f := AxisFacts{CurrentA: 2.8, Gain: 1, Trusted: true}
		for k := range 30 + w.last { // it stands for three seconds first
			if k == 30 {
				f.Applied = 1
			}
			counted += w.count * a.Pace * c.TopSpeed.Rad() * 0.1 / c.Step.Rad()
			f.Counts = int32(counted)
			a.update(&c, &f, uint32(10_000+100*k))
			maximum = max(maximum, a.Lacking)
		}
		f.Applied, f.Trusted = 0, w.trusted
		a.update(&c, &f, uint32(10_000+100*(30+w.last)))
		if maximum < resolution(&c) || w.forget != (a.Lacking == 0) {
			t.Errorf("%s: %.2f degrees were lacking, then %.2f", w.name, maximum*180/math.Pi, a.Lacking*180/math.Pi)
		}
	}
}
