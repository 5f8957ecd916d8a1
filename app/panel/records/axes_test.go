package records

import (
	"slices"
	"testing"
	"time"

	"beamhelm/app/journal"
)

// A gap in a trend parts its line. In practice what was recorded while time ran fast is one line, all the same.
func TestGapsOfATrend(t *testing.T) {
	at := time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	var points []journal.Point
	for _, seconds := range []int{0, 9, 18, 90, 99, 108, 168, 228, 288, 900, 960, 1020} {
		points = append(points, journal.Point{At: at.Add(time.Duration(seconds) * time.Second)})
	}
	parts := func(fast bool) (at []int) {
		for i := 1; i < len(points); i++ {
			if (curve{fast: fast}).parted(points, i, 9*time.Second) {
				at = append(at, i)
			}
		}
		return at
	}
	if got := parts(false); !slices.Equal(got, []int{3, 6, 7, 8, 9, 10, 11}) {
		t.Errorf("in real time parted before %v", got)
	}
	if got := parts(true); !slices.Equal(got, []int{3, 9}) {
		t.Errorf("in practice parted before %v", got)
	}
}

// What an alarm, an event and a trip say of one moment is listed once; alone, or of another time, each is there.
func TestListedOnce(t *testing.T) {
	at := time.Date(2027, 4, 14, 18, 57, 49, 0, time.UTC)
	entry := func(what journal.What, seconds float64, words string) journal.Entry {
		return journal.Entry{What: what, At: at.Add(time.Duration(seconds * 1e9)), Words: words}
	}
	all := []journal.Entry{
		entry(journal.WhatNote, 0, "stalled"),
		entry(journal.WhatAlarm, 0.1, "stalled"), entry(journal.WhatEvent, 0, "stalled"),
		entry(journal.WhatTrip, 0, "stalled"), entry(journal.WhatEvent, 0, "Locked out: stalled"),
		entry(journal.WhatAlarm, 0, "withdrawn"), entry(journal.WhatEvent, 0.5, "withdrawn. Request it again"),
		entry(journal.WhatAlarm, 5, "withdrawn"), entry(journal.WhatEvent, 9, "withdrawn"),
		entry(journal.WhatEvent, 20, "late"), entry(journal.WhatEvent, 20, "late"),
	}
	got := once(all)
	want := []journal.Entry{all[0], all[3], all[6], all[7], all[8], all[9], all[10]}
	if !slices.Equal(got, want) {
		t.Errorf("listed %+v", got)
	}
	if alarms := []journal.Entry{all[1], all[5]}; !slices.Equal(once(alarms), alarms) {
		t.Error("alarms alone are left out")
	}
}

// Two readings have an axis each, left and right. Of three, those of one unit share one, which spans them all, and
// three units have three. Over the plot each reading says where its axis is.
func TestAxesOfSeveralReadings(t *testing.T) {
	at := time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	answerOf := func(units ...string) (a answer) {
		for i, unit := range units {
			a.readings = append(a.readings, journal.Series{Unit: unit, Decimals: 1})
			value := 10 * float64(i+1)
			a.trends = append(a.trends, journal.Trend{Step: time.Minute,
				Points: []journal.Point{{At: at, Min: value - 1, Mean: value, Max: value + 1}}})
		}
		return a
	}
	for _, row := range []struct {
		units []string
		axes  [][]int
		said  []string
	}{
		{[]string{"V"}, [][]int{{0}}, []string{"9.0 to 11.0 V"}},
		{[]string{"V", "A"}, [][]int{{0}, {1}}, []string{"9.0 to 11.0 V, left", "19.0 to 21.0 A, right"}},
		{[]string{"V", "V"}, [][]int{{0}, {1}}, []string{"9.0 to 11.0 V, left", "19.0 to 21.0 V, right"}},
		{[]string{"V", "V", "A"}, [][]int{{0, 1}, {2}},
			[]string{"9.0 to 11.0 V, left", "19.0 to 21.0 V, left", "29.0 to 31.0 A, right"}},
		{[]string{"V", "A", "V"}, [][]int{{0, 2}, {1}},
			[]string{"9.0 to 11.0 V, left", "19.0 to 21.0 A, right", "29.0 to 31.0 V, left"}},
		{[]string{"V", "A", "A"}, [][]int{{0}, {1, 2}},
			[]string{"9.0 to 11.0 V, left", "19.0 to 21.0 A, right", "29.0 to 31.0 A, right"}},
		{[]string{"V", "V", "V"}, [][]int{{0, 1, 2}}, []string{"9.0 to 11.0 V", "19.0 to 21.0 V", "29.0 to 31.0 V"}},
		{[]string{"V", "°", "W"}, [][]int{{0}, {1}, {2}},
			[]string{"9.0 to 11.0 V, left", "19.0 to 21.0°, right", "29.0 to 31.0 W, far right"}},
	} {
		a := answerOf(row.units...)
		if got := a.axes(); !slices.EqualFunc(got, row.axes, slices.Equal[[]int]) {
			t.Errorf("%q: axes %v, want %v", row.units, got, row.axes)
		}
		scales := a.scales()
		for i, want := range row.said {
			if got := a.extentWords(i, time.Time{}); got != want {
				t.Errorf("%q: reading %d: %q, want %q", row.units, i, got, want)
			}
		}
		if len(scales) != len(row.axes) {
			t.Errorf("%q: %d axes on the plot", row.units, len(scales))
		}
		for k, scale := range scales {
			for _, i := range row.axes[k] {
				p := a.trends[i].Points[0]
				if scale.Unit != row.units[i] || !(scale.Low < p.Min && p.Max < scale.High) || a.scale(i) != scale {
					t.Errorf("%q: reading %d in %+v", row.units, i, scale)
				}
			}
		}
	}
}
