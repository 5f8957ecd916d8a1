package widget

import (
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2/test"
)

func TestHold(t *testing.T) {
	test.NewTempApp(t)
	rows := []struct {
		name         string
		press        time.Duration
		end          bool // ended without being let go
		taps, renews int32
	}{
		{"a tap", 80 * time.Millisecond, false, 1, 0},
		{"just short of a hold", 349 * time.Millisecond, false, 1, 0},
		{"a hold", 360 * time.Millisecond, false, 0, 1},
		{"one second", time.Second, false, 0, 7}, // at 350, 450 ... 950 ms
		{"a tap that lost the focus", 80 * time.Millisecond, true, 0, 0},
		{"a hold that lost the focus", time.Second, true, 0, 7},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var taps, renews atomic.Int32
				h := &Hold{Tap: func() { taps.Add(1) }, Renew: func() { renews.Add(1) }}
				h.Down()
				time.Sleep(row.press)
				synctest.Wait()
				h.Down() // keys repeat
				if row.end {
					h.End()
				}
				h.Up()
				time.Sleep(2 * time.Second)
				synctest.Wait()
				if taps.Load() != row.taps || renews.Load() != row.renews {
					t.Errorf("%d taps and %d renewals, want %d and %d", taps.Load(), renews.Load(), row.taps,
						row.renews)
				}
				if h.Pressed() {
					t.Error("the press lasts after it was let go")
				}
			})
		})
	}
}

// A jog order lives 300 ms: the renewals must come well within that.
func TestRenewalsOutrunTheirOrders(t *testing.T) {
	const orderLives = 300 * time.Millisecond
	if RenewEvery*2 >= orderLives {
		t.Errorf("renewed every %v: one that is late would break the motion", RenewEvery)
	}
}
