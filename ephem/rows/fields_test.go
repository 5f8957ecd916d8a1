package rows

import (
	"math"
	"testing"
	"time"
)

func TestNumber(t *testing.T) {
	for text, want := range map[string]float64{"1": 1, "-1.5": -1.5, "+2e3": 2000, ".5": 0.5} {
		if got, err := Number(text); err != nil || got != want {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "NaN", "inf", "-Infinity", "0x10", "1_0", "1,5", " 1", "1e400"} {
		if got, err := Number(text); err == nil || !math.IsNaN(got) && got != 0 {
			t.Errorf("%q passes as %v", text, got)
		}
	}
}

func TestInstant(t *testing.T) {
	for text, want := range map[string]time.Time{
		"2027-04-14T16:00:00Z":        time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC),
		"2027-04-14T16:00:00.5+02:00": time.Date(2027, 4, 14, 14, 0, 0, 5e8, time.UTC),
	} {
		if got, err := Instant(text); err != nil || !got.Equal(want) {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{
		"", "now", "2027-04-14", "2027-04-14 16:00:00Z", "2027-04-14T16:00:00", "2027-04-14T6:00:00Z",
		"2027-04-14T16:00:00,5Z",
		"2027-13-14T16:00:00Z", "2027-02-29T16:00:00Z", "2016-12-31T23:59:60Z", "0999-12-31T23:59:59Z",
		"3001-01-01T00:00:00Z", "2027-04-14t16:00:00z",
	} {
		if got, err := Instant(text); err == nil {
			t.Errorf("%q passes as %v", text, got)
		}
	}
}

func FuzzInstant(f *testing.F) {
	for _, text := range []string{"2027-04-14T16:00:00Z", "2027-04-14T16:00:00.123456789+14:00", "2016-12-31T23:59:60Z",
		"", "T", "9999-12-31T23:59:59-23:59"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		at, err := Instant(text)
		if err != nil {
			return
		}
		again, err := Instant(at.Format(time.RFC3339Nano))
		if err != nil || !again.Equal(at) {
			t.Errorf("%q reads as %v, which reads as %v (%v)", text, at, again, err)
		}
	})
}
