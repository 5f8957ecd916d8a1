//go:build peers

package rig

import (
	"context"
	"fmt"
	"testing"
	"time"

	"beamhelm/drive/conform"
	"beamhelm/drive/firmware"
	"beamhelm/drive/replica/plant"
)

// stationWith is the usual table with rows changed.
func stationWith(t testing.TB, rows map[string][]int64) *firmware.Station {
	t.Helper()
	s := firmware.UsualStation()
	for name, values := range rows {
		if err := s.Set(name, values...); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// everything is fitted, on a fast line.
func everything() map[string][]int64 {
	rows := map[string][]int64{"baud": {115200}, "fault_input": {1, 1},
		"input_reading": {0x40, 0x42, 0x43, 0x44, 0x48, 0x49, 0x4A, 0x4F, 0x59, 0x50, 0x55},
		"input_table":   {0, 0, 0, 0, 1, 1, 1, 2, 0, 2, 0}}
	for _, name := range []string{"brakes", "marks", "hand_panel", "ready_input", "door_input", "warning",
		"transmit_gate", "amplifier", "band_switch", "detector", "wind_sensor", "flow_sensor", "climate_sensor"} {
		rows[name] = []int64{1}
	}
	return rows
}

// stations that between them have everything that the firmware can do.
func stations() map[string]map[string][]int64 {
	return map[string]map[string][]int64{
		"usual":        {},
		"everything":   everything(),
		"fixed speeds": {"baud": {57600}, "speeds": {4, 3}, "ramp_ms": {200, 200}, "parity": {0}},
		"one axis":     {"baud": {38400}, "axis": {1, 0}, "parity": {1}, "unit": {247}},
	}
}

// TestEveryRuleIsKept is the whole test of an enclosure, motion included, on the
// emulated chip and on the core alone. What needs hands at the dish is in the
// tests of faults.
func TestEveryRuleIsKept(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		kept := map[string]bool{}
		untried := map[string]string{}
		for name, rows := range stations() {
			t.Run(fmt.Sprintf("%s, %s", body, name), func(t *testing.T) {
				s := stationWith(t, rows)
				r := New(t, body, s)
				if _, err := NewPlant(r, plant.Default()); err != nil {
					t.Fatal(err)
				}
				line := NewLine(r)
				r.For(100 * time.Millisecond)
				c := conform.Config{Unit: byte(s.Values("unit")[0]), Move: true, Permit: true, Clock: line,
					Character: 11 * time.Second / time.Duration(s.Values("baud")[0])}
				err := conform.Run(context.Background(), line, c, func(f conform.Finding) {
					switch f.Outcome {
					case conform.Kept:
						kept[f.ID] = true
					case conform.NotTried:
						untried[f.ID] = f.Words
					default:
						t.Errorf("%v: %s: %s", f.Outcome, f.Rule, f.Words)
					}
				})
				if err != nil {
					t.Fatal(err)
				}
				if r.Undriven > 0 || r.Seen.Resets > 0 || r.Seen.Overrun > 0 {
					t.Errorf("%d bytes with the transceiver off, %d restarts, %d bytes overrun", r.Undriven,
						r.Seen.Resets, r.Seen.Overrun)
				}
				if want := uint64(r.Seen.Character); want*1000 < r.Character()*975 || want*1000 > r.Character()*1025 {
					t.Errorf("a character takes %d cycles, %d on the line", want, r.Character())
				}
			})
		}
		for id, words := range untried {
			if !kept[id] && words != "needs hands at the dish" {
				t.Errorf("%s: no station lets %s be tried: %s", body, id, words)
			}
		}
		t.Logf("%s: %d rules kept, 0 broken, 0 in doubt", body, len(kept))
	}
}
