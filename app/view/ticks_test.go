package view

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		maximum   int
		want      []float64
	}{
		{0, 10, 6, []float64{0, 2, 4, 6, 8, 10}},
		{0, 1, 3, []float64{0, 0.5, 1}},
		{22.1, 29.3, 4, []float64{24, 26, 28}},
		{-0.3, 0.3, 4, []float64{-0.2, 0, 0.2}},
		{5, 5, 4, nil},
		{math.NaN(), 1, 4, nil},
		{0, math.Inf(1), 4, nil},
	} {
		got := Ticks(c.low, c.high, c.maximum)
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%v to %v, %d: %v, want %v", c.low, c.high, c.maximum, got, c.want)
		}
	}
	for step, want := range map[float64]int{5: 0, 1: 0, 0.5: 1, 0.2: 1, 0.1: 1, 0.05: 2, 0.01: 2, 20: 0, 0: 0} {
		if got := TickDecimals(step); got != want {
			t.Errorf("a step of %v has %d decimals, want %d", step, got, want)
		}
	}
}

func TestTicksOfAnyRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + rapid.Float64Range(1e-6, 1e6).Draw(t, "span")
		maximum := rapid.IntRange(2, 12).Draw(t, "most")
		ticks := Ticks(low, high, maximum)
		if len(ticks) > maximum {
			t.Fatalf("%d ticks, at most %d", len(ticks), maximum)
		}
		for _, v := range ticks {
			if slack := 1e-6 * (high - low); v < low-slack || v > high+slack {
				t.Fatalf("%v lies beyond %v to %v", v, low, high)
			}
		}
	})
}

func TestTimeTicks(t *testing.T) {
	at := func(words string) time.Time {
		v, err := time.Parse("2006-01-02 15:04:05", words)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		from, to string
		maximum  int
		words    []string
	}{
		{"2027-04-14 15:51:12", "2027-04-14 16:01:12", 5, []string{"15:55", "16:00"}},
		{"2027-04-14 15:51:12", "2027-04-14 16:01:12", 6, []string{"15:52", "15:54", "15:56", "15:58", "16:00"}},
		{"2027-04-14 16:00:00", "2027-04-14 16:00:40", 5,
			[]string{"16:00:00", "16:00:10", "16:00:20", "16:00:30", "16:00:40"}},
		{"2027-04-14 00:00:00", "2027-04-14 23:59:00", 5, []string{"00:00", "06:00", "12:00", "18:00"}},
		{"2027-02-26 06:00:00", "2027-03-03 06:00:00", 6, []string{"27 Feb", "28 Feb", "1 Mar", "2 Mar", "3 Mar"}},
	} {
		ticks, layout := TimeTicks(at(c.from), at(c.to), c.maximum)
		var words []string
		for _, tick := range ticks {
			words = append(words, tick.Format(layout))
		}
		if !slices.Equal(words, c.words) {
			t.Errorf("%s to %s: %q, want %q", c.from, c.to, words, c.words)
		}
	}
	if ticks, _ := TimeTicks(at("2027-04-14 16:00:00"), at("2027-04-14 16:00:00"), 5); ticks != nil {
		t.Errorf("no span: %v", ticks)
	}
	if ticks, _ := TimeTicks(at("2020-04-14 16:00:00"), at("2027-04-14 16:00:00"), 6); len(ticks) == 0 ||
		len(ticks) > 6 {
		t.Errorf("seven years: %d ticks", len(ticks))
	}
}
