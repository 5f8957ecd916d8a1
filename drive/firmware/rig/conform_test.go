//go:build peers

package rig

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive/conform"
	"beamhelm/drive/firmware"
)

// turning is a dish that turns as its bridges drive it, 1000 counts a second at full drive.
func turning() func(*Rig) {
	var place [2]float64
	up := 0
	return func(r *Rig) {
		if r.High("CONTACTOR") {
			up++
		} else {
			up = 0
		}
		r.Set(0, "SUPPLY", up < 250)
		for i := range place {
			place[i] += r.Driven(i) // counts in a millisecond
			r.Turn(i, int32(place[i]))
		}
	}
}

// TestEveryRuleIsKept is the whole test of an enclosure, motion included, in virtual time.
func TestEveryRuleIsKept(t *testing.T) {
	for _, body := range []Body{Chip, Native} {
		for _, baud := range []int64{19200, 115200} {
			t.Run(string(body), func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					s := firmware.UsualStation()
					if err := s.Set("baud", baud); err != nil {
						t.Fatal(err)
					}
					r := New(t, body, s)
					r.Dish = turning()
					line := NewBubbleLine(r)
					time.Sleep(100 * time.Millisecond)
					kept := 0
					c := conform.Config{Unit: 1, Move: true, Character: 11 * time.Second / time.Duration(baud)}
					err := conform.Run(context.Background(), line, c, func(f conform.Finding) {
						if f.Outcome == conform.Kept {
							kept++
							return
						}
						t.Errorf("%v: %s: %s", f.Outcome, f.Rule, f.Words)
					})
					if err != nil {
						t.Fatal(err)
					}
					if r.Undriven > 0 || r.Seen.Resets > 0 || r.Seen.Overrun > 0 {
						t.Errorf("%d bytes with the transceiver off, %d restarts, %d bytes overrun", r.Undriven, r.Seen.Resets, r.Seen.Overrun)
					}
					t.Logf("%d rules kept in %.1f s of virtual time", kept, line.Now().Seconds())
					r.Stop()
				})
			})
		}
	}
}
