package permit_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"beamhelm/app/desk/permit"
	"beamhelm/drive/guard"
)

// holds says by itself whether every condition holds: written independently from what the
// conditions mean, without the code that is tested.
func holds(c *permit.Config, in *permit.Inputs, band, feed int, fitted [permit.ReadingCount]bool, over bool) bool {
	if in.Working || in.HandPanel || in.Door || in.LinkLost || in.Locked || in.Stop || in.Guard != guard.None ||
		in.Dropped || in.ClockStepped || in.SequencerFault {
		return false
	}
	if in.Band != band || in.Feed != feed || !in.Referenced || in.Slewing {
		return false
	}
	limit := 0.5 * in.BeamwidthDeg
	if over {
		limit *= 2
	}
	if !in.HasTarget || in.OffDeg > limit || in.El.Deg() < 5 || in.SunDeg < 4 {
		return false
	}
	az, el := math.Mod(in.Az.Deg()+720, 360), in.El.Deg()
	if az >= 90 && az <= 100 && el <= 20 || band == 1 && (az >= 350 || az <= 10) {
		return false
	}
	for i, v := range in.Readings {
		switch {
		case math.IsNaN(v) && fitted[i]:
			return false
		case i == permit.Relay && (v < 21 || v > 31), i == permit.CoolantIn && (v < -15 || v > 55),
			i == permit.CoolantOut &&
				v > 65, i == permit.CoolantFlow && v < 2:
			return false
		}
	}
	forward, reflected := in.Readings[permit.ForwardPower], in.Readings[permit.ReflectedPower]
	return !(max(forward, reflected) >= 5 && reflected > forward/4)
}

// Whatever happens, a permit that is given means that every condition holds at that
// step, and that it was requested after the last thing that ended it.
func TestGivenMeansThatAllHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := conditions()
		var s permit.State
		var fitted [permit.ReadingCount]bool
		band, feed, wanted, given := 0, 0, false, false
		trips := uint16(0)
		spoilers := rows()
		for range 60 {
			in := fine()
			in.Band, in.Feed = rapid.SampledFrom([]int{0, 0, 0, 0, 1}).Draw(t,
				"band"), rapid.SampledFrom([]int{0, 0, 0, 0, 0, 1}).Draw(t, "feed")
			in.Keyed = rapid.Bool().Draw(t, "keyed")
			in.Request = rapid.IntRange(0, 3).Draw(t, "request") == 0
			in.Withdraw = rapid.IntRange(0, 15).Draw(t, "withdraw") == 0
			for range rapid.IntRange(0, 1).Draw(t, "spoilt") * rapid.IntRange(0, 2).Draw(t, "spoils") {
				rapid.SampledFrom(spoilers).Draw(t, "what").spoil(&in)
			}
			in.Az = degrees(rapid.SampledFrom([]float64{180, 95, 0, 355, 455, 89, 101}).Draw(t, "az"))
			in.El += degrees(rapid.SampledFrom([]float64{0, 0, -22, -34.9, -35.1}).Draw(t, "el"))
			in.OffDeg += rapid.SampledFrom([]float64{0, 0, 0.2, 0.3, 0.6}).Draw(t, "off")
			in.SunDeg += rapid.SampledFrom([]float64{0, 0, -85.9, -86.1}).Draw(t, "Sun")
			if in.Request {
				band, feed, wanted, trips = in.Band, in.Feed, true, in.Trips
			}
			newTrips := in.Trips &^ trips
			trips = in.Trips
			for i, v := range in.Readings {
				fitted[i] = fitted[i] || !math.IsNaN(v)
			}
			out := permit.Step(&c, &s, &in)
			if in.Withdraw || newTrips != 0 || out.Refused.Code != permit.None || out.Ended.Code != permit.None {
				wanted = false
			}
			if out.Give && (!wanted || !holds(&c, &in, band, feed, fitted, in.Keyed && given)) {
				t.Fatalf("given with %+v", in)
			}
			given = out.Give
		}
	})
}
