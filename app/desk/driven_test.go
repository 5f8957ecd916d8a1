package desk

import (
	"math"
	"testing"
	"time"
)

// motorAlarm is the line of a motor current among the alarms, empty when there is none.
func (b *bench) motorAlarm() string {
	for _, a := range b.out.Status.Alarms {
		if a.Words.Code == "reading.motor" {
			return a.Words.String()
		}
	}
	return ""
}

// TestMotorCurrentIsJudgedWhileDriven: usual limits, 8 A held for 1 s, after a second of start.
func TestMotorCurrentIsJudgedWhileDriven(t *testing.T) {
	b := newBench(t)
	axis := &b.loop.Axes[1]
	spend := func(tenths int, applied, current float64) {
		axis.Applied, axis.CurrentA = applied, current
		for range tenths {
			b.after(100 * time.Millisecond)
		}
	}
	b.loop.Axes[0].CurrentA = math.NaN()
	spend(50, 0, 9)
	if got := b.motorAlarm(); got != "" {
		t.Fatalf("at rest: %q", got)
	}
	spend(20, -0.5, -9)
	if got := b.motorAlarm(); got != "" {
		t.Fatalf("at its start: %q", got)
	}
	spend(3, -0.5, -9)
	if got := b.motorAlarm(); got != "Elevation motor 9.0 A, maximum 8.0 A" {
		t.Fatalf("driven for over a second and held: %q", got)
	}
	b.after(100*time.Millisecond, Shelve{Alarm: b.out.Status.Alarms[0].Number})
	spend(1, 0, 0)
	if a := b.out.Status.Alarms; len(a) != 1 || a[0].Stands || !a[0].Acknowledged || !a[0].ShelvedUntil.After(b.at) {
		t.Fatalf("at rest again and muted: %+v", a)
	}
	for range 30 {
		spend(9, 0.5, 9)
		spend(1, 0, 0)
	}
	if a := b.out.Status.Alarms; a[0].Stands {
		t.Errorf("pushes of less than a second, as in slow tracking, are judged: %+v", a)
	}
}
