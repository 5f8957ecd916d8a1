package mode

import (
	"testing"
	"time"
)

func TestClockTolerance(t *testing.T) {
	for _, row := range []struct {
		index  int
		period time.Duration
		want   time.Duration
	}{
		{0, time.Minute, 5 * time.Second}, {0, 15 * time.Second, 1500 * time.Millisecond},
		{2, time.Minute, time.Second},
		{2, 15 * time.Second, 300 * time.Millisecond}, {3, 5 * time.Second, 100 * time.Millisecond}, {0, 0, 0},
	} {
		if got := All()[row.index].ClockTolerance(row.period); got != row.want {
			t.Errorf("%s, %v: %v, want %v", All()[row.index].Words, row.period, got, row.want)
		}
	}
}

// A mode that the export can't name would make a log that no reader takes.
// Source: ADIF 3.1.4, section III.B.10, Mode Enumeration.
func TestModesAreOfTheEnumeration(t *testing.T) {
	listed := map[string]bool{"AM": true, "CW": true, "DIGITALVOICE": true, "FM": true, "MFSK": true, "PSK": true,
		"RTTY": true, "SSB": true}
	for _, m := range All() {
		if !listed[m.ADIF] || m.Words == "" || m.BandwidthHz <= 0 || m.SpreadHz <= 0 || m.Report == "" {
			t.Errorf("%+v", m)
		}
	}
}
