package view_test

import (
	"math"
	"testing"

	"beamhelm/app/view"
)

// Source: Review of Particle Physics (Particle Data Group), Introduction, section 5.3, whose own
// examples are 0.827 ±0.119, which is rounded to 0.83 ±0.12, and 0.827 ±0.367, which is rounded to
// 0.8 ±0.4.
func TestUncertain(t *testing.T) {
	for _, row := range []struct {
		v, u      float64
		want, and string
	}{
		{0.827, 0.119, "0.83", "0.83 ±0.12"}, {0.827, 0.367, "0.8", "0.8 ±0.4"}, {0.827, 0.96, "0.8", "0.8 ±1.0"},
		{1234.6, 30, "1235", "1235 ±30"}, {1234.5, 50, "1230", "1230 ±50"}, {1234.5, 400, "1200", "1200 ±400"},
		{271.3666, 3, "271.4", "271.4 ±3.0"},
		{-0.04, 0.5, "0.0", "0.0 ±0.5"}, {59.3, 5.93, "59", "59 ±6"}, {9.99, 0.5, "10.0", "10.0 ±0.5"},
		{1, 0, view.Missing, view.Missing},
		{1, math.NaN(), view.Missing, view.Missing}, {1, math.Inf(1), view.Missing, view.Missing},
		{math.NaN(), 1, view.Missing, "– ±1.0"},
	} {
		if got, and := view.Uncertain(row.v, row.u), view.PlusMinus(row.v, row.u); got != row.want || and != row.and {
			t.Errorf("%v with %v: %q, %q, want %q, %q", row.v, row.u, got, and, row.want, row.and)
		}
	}
	if got := view.SignedUncertain(0.04, 0.5) + view.SignedUncertain(3.21, 0.5) +
		view.SignedUncertain(-3.21, 0.5); got != "0.0+3.2−3.2" {
		t.Error(got)
	}
}
