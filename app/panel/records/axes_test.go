package records

import (
	"slices"
	"testing"
	"time"

	"beamhelm/app/journal"
)

// Two readings have an axis each, left and right. Of three, those of one unit share one, which spans them all.
func TestAxesOfSeveralReadings(t *testing.T) {
	at := time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	answerOf := func(units ...string) (a answer) {
		for i, unit := range units {
			a.readings = append(a.readings, journal.Series{Unit: unit, Decimals: 1})
			value := 10 * float64(i+1)
			a.trends = append(a.trends, journal.Trend{Step: time.Minute,
				Points: []journal.Point{{At: at, Least: value - 1, Mean: value, Most: value + 1}}})
		}
		return a
	}
	for _, row := range []struct {
		units []string
		axes  [][]int
	}{
		{[]string{"V"}, [][]int{{0}}},
		{[]string{"V", "A"}, [][]int{{0}, {1}}},
		{[]string{"V", "V"}, [][]int{{0}, {1}}},
		{[]string{"V", "V", "A"}, [][]int{{0, 1}, {2}}},
		{[]string{"V", "A", "V"}, [][]int{{0, 2}, {1}}},
		{[]string{"V", "A", "A"}, [][]int{{0}, {1, 2}}},
		{[]string{"V", "V", "V"}, [][]int{{0, 1, 2}}},
		{[]string{"V", "A", "W"}, [][]int{{0}, {1}, {2}}},
	} {
		a := answerOf(row.units...)
		if got := a.axes(); !slices.EqualFunc(got, row.axes, slices.Equal[[]int]) {
			t.Errorf("%q: axes %v, want %v", row.units, got, row.axes)
		}
		scales := a.scales()
		if len(scales) != min(2, len(row.axes)) {
			t.Errorf("%q: %d axes on the plot", row.units, len(scales))
		}
		for k, scale := range scales {
			for _, i := range row.axes[k] {
				p := a.trends[i].Points[0]
				if scale.Unit != row.units[i] || !(scale.Low < p.Least && p.Most < scale.High) || a.scale(i) != scale {
					t.Errorf("%q: reading %d in %+v", row.units, i, scale)
				}
			}
		}
	}
}
