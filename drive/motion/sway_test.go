package motion

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/soniakeys/unit"
	"pgregory.net/rapid"

	"beamhelm/drive/mount"
)

// swaying is an axis at rest whose dish sways about a place, seen by counts of
// 0.01 degree: the rms error of its estimate and that of the edge passed last,
// in counts.
func swaying(backlash, sway float64) (estimate, edge float64, a Axis) {
	const step = 0.01 * degree
	d := DefaultDrive()
	d.Backlash = unit.Angle(backlash)
	scale, chance := mount.Scale{Step: unit.Angle(step), Direction: 1}, rand.New(rand.NewPCG(1, 2))
	a.Learned = d.Fresh()
	a.LastRun = 1
	moment, sample := func(ms int) time.Duration { return time.Duration(ms) * time.Millisecond }, AxisSample{}
	n, passed, at, place := 0.0, 0, 0.0, 0.0
	for ms := range 600_000 {
		// First order, of some seconds, and smoothed: a dish has mass.
		at += -at/4000 + sway*step*math.Sqrt(2.0/4000)*chance.NormFloat64()
		place += (at + 0.3*step - place) / 250
		if now := int32(math.Floor(place / step)); now != sample.Counts {
			sample.Upward, sample.Counts, passed = now > sample.Counts, now, ms
		}
		if ms%100 != 0 {
			continue
		}
		sample.At, sample.Since, sample.KnownSince = moment(ms), moment(ms-passed), true
		if !a.Have {
			a.Relocate(scale, mount.Zero{}, sample)
		}
		a.Observe(&d, scale, mount.Zero{}, sample)
		last := float64(sample.Counts) * step
		if !sample.Upward {
			last += step
		}
		n++
		estimate += square((a.Body.Dish - place) / step)
		edge += square((last - place) / step)
	}
	return math.Sqrt(estimate / n), math.Sqrt(edge / n), a
}

func TestSwayBetweenCounts(t *testing.T) {
	estimate, edge, a := swaying(0, 0.5)
	t.Logf("estimate off by %.3f counts rms, the edge passed last by %.3f", estimate, edge)
	if !(estimate < 0.8*edge) || a.Sway.Rate == 0 {
		t.Errorf("a swaying dish: off by %.3f counts rms, the edge passed last by %.3f", estimate, edge)
	}
	if _, _, a := swaying(0, 0); a.Sway.Rate != 0 {
		t.Errorf("a dish in still air: sway of %g learned", a.Sway.Rate)
	}
	if _, _, a := swaying(0.15*degree, 0.5); a.Sway.Rate != 0 {
		t.Errorf("a dish that a load carries through its backlash: sway of %g learned", a.Sway.Rate)
	}
}

// Wherever the dish is thought to be, the mean lies within the count.
func TestLikelyWithinTheCount(t *testing.T) {
	const low, high = -0.003 * degree, 0.007 * degree
	d := DefaultDrive()
	d.Backlash = 0
	rapid.Check(t, func(t *rapid.T) {
		a := Axis{Sway: Sway{Rate: 1e-12}, Variance: square(rapid.Float64Range(0, 1).Draw(t, "deviation") * degree)}
		a.Body.Dish = rapid.SampledFrom([]float64{low, high, 0}).Draw(t, "at") +
			rapid.Float64Range(-1e-6, 1e-6).Draw(t, "off")
		a.Body.Dish = max(low, min(high, a.Body.Dish))
		a.Body.Motor = a.Body.Dish
		before := a.Variance
		a.toTruncatedMean(&d, low, high)
		if !(a.Body.Dish >= low && a.Body.Dish <= high) || !(a.Variance >= 0 && a.Variance <= before) {
			t.Fatalf("at %v of %v to %v, variance %v", a.Body.Dish, low, high, a.Variance)
		}
	})
}

// The errors of an encoder's edges are learned while the axis creeps too: a
// first slew passes few of them.
func TestEdgesAreLearnedWhileCreeping(t *testing.T) {
	const step = 0.01 * degree
	pattern := [4]float64{0.12, -0.06, 0.02, -0.08} // counts, of mean 0
	chance := rand.New(rand.NewPCG(3, 4))
	for _, backlash := range []float64{0, 0.15 * degree} {
		d, a := DefaultDrive(), Axis{}
		d.Backlash = unit.Angle(backlash)
		for edge := range int32(1000) {
			a.Variance = square(0.15 * step)
			k := edge % 4
			seen := a.Learned.Edges[k].Rad() - (pattern[k]+0.15*chance.NormFloat64())*step
			a.learnEdge(&d, edge, seen, step)
		}
		for k, want := range pattern {
			got := a.Learned.Edges[k].Rad() / step
			if backlash == 0 && math.Abs(got-want) > 0.04 {
				t.Errorf("edge %d: %.3f counts, want %.3f", k, got, want)
			}
			if backlash > step && got != 0 {
				t.Errorf("edge %d: %.3f counts learned where a load may have moved the dish", k, got)
			}
		}
	}
}
