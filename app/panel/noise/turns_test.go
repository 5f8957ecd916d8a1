package noise

import (
	"testing"
	"time"

	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

// A strip of 600 columns has one each second: turns of 60 s, ours the first
// after the full hour, shade each second minute.
func TestTurnsShadeTheStrip(t *testing.T) {
	status := stage.Tracking()
	status.Period = radio.PeriodAt(time.Minute, true, status.At)
	columns := make([]column, 600)
	hour := status.At.Truncate(time.Hour)
	newest := hour.Unix() + 599
	markPeriods(columns, newest, 600, view.At(&status, 0, 0))
	for i, c := range columns {
		if want := (i/60)%2 == 0; c.ours != want {
			t.Fatalf("%d s after the hour: ours is %v", i, c.ours)
		}
	}
	status.Period.On = false
	markPeriods(columns, newest, 600, view.At(&status, 0, 0))
	for _, c := range columns {
		if c.ours {
			t.Fatal("a turn is shaded where none are kept")
		}
	}
}
