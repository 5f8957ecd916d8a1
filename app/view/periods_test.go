package view_test

import (
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/view"
)

// The clock stands beside what the mode bears, and over the periods where it is off by more.
func TestClockBesideItsTolerance(t *testing.T) {
	now := func(mode int, off time.Duration, known bool) view.Now {
		return view.At(&desk.Status{Period: radio.Period{On: true, Length: 15 * time.Second, Mode: mode,
			ClockOffset:    off,
			HasClockOffset: known, Left: time.Second}}, 1, 0)
	}
	for _, row := range []struct {
		now   view.Now
		words string
		tone  view.Tone
	}{
		{now(0, 0, false), "Clock not compared; tolerance 1.50 s for Morse", view.Faint},
		{now(0, 120*time.Millisecond, true), "Clock 0.12 s slow; tolerance 1.50 s for Morse", view.Plain},
		{now(2, -400*time.Millisecond, true), "Clock 0.40 s fast; tolerance 0.30 s for Tones, narrow", view.Attention},
	} {
		if got := view.ClockWords(row.now); got.Words != row.words || got.Tone != row.tone {
			t.Errorf("%+v, want %q", got, row.words)
		}
		if under := view.PeriodWords(row.now).Under; (under.Tone == view.Attention) != (row.tone == view.Attention) ||
			row.tone != view.Attention && !strings.HasPrefix(under.Words, "15 s, ") {
			t.Errorf("under the periods %+v", under)
		}
	}
}

// Where practice time makes periods of a second or two, their countdown would flicker: it is left out.
func TestPeriodsTooFastToCount(t *testing.T) {
	for _, row := range []struct {
		scale  int
		length time.Duration
		head   string
	}{
		{0, time.Minute, "Transmit period 0:24"}, {1, 5 * time.Second, "Transmit period 0:24"},
		{10, time.Minute, "Transmit period 0:24"}, {10, 30 * time.Second, "Periods: time × 10"},
		{60, time.Minute, "Periods: time × 60"}, {60, 5 * time.Minute, "Transmit period 0:24"},
	} {
		now := view.At(&desk.Status{TimeScale: row.scale, Period: radio.Period{On: true, Length: row.length, Ours: true,
			Left: 24 * time.Second}}, 1, 0)
		if got := view.PeriodWords(now).Head.Words; got != row.head {
			t.Errorf("time × %d, periods of %v: %q, want %q", row.scale, row.length, got, row.head)
		}
	}
}

func TestParseTurn(t *testing.T) {
	for text, want := range map[string]int{"75": 75, " 5 s": 5, "3600": 3600, "1": 0, "3601": 0, "7.5": 0, "": 0,
		"-30": 0} {
		if got, err := view.ParsePeriod(text); got != want || (err != nil) != (want == 0) {
			t.Errorf("%q: %d, %v", text, got, err)
		}
	}
}
