package guard

import (
	"math"
	"testing"
)

// Standing wave ratio from the reflected part of the power: a part of 1/9 is 2,
// 1/4 is 3 and 0.04 is 1.5, by (1 + r) / (1 - r) with r the square root of the part, as in
// any textbook of transmission lines.
func TestSWR(t *testing.T) {
	for _, row := range []struct {
		name               string
		forward, reflected float64
		want               float64
	}{
		{"a ninth", 90, 10, 2}, {"a quarter", 400, 100, 3}, {"0.04", 100, 4, 1.5}, {"nothing back", 60, 0, 1},
		{"everything back", 60, 60, math.Inf(1)}, {"more than everything", 60, 70, math.Inf(1)},
		{"too little to tell", 4, 4, 1}, {"only reflected, as from another transmitter", 0, 40, math.Inf(1)},
		{"forward not fitted", math.NaN(), 40, 1}, {"reflected not fitted", 60, math.NaN(), 1},
	} {
		if got := SWR(row.forward, row.reflected); got != row.want && math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s: %v of %v W give %v, want %v", row.name, row.reflected, row.forward, got, row.want)
		}
	}
}
