//go:build peers

package rig

import (
	"context"
	"testing"
	"time"

	"beamhelm/drive/link"
)

// TestInRealTime: all registers are read again and again over a real pseudo-terminal, in the clock of this computer.
func TestInRealTime(t *testing.T) {
	r := New(t, Chip, stationWith(t, everything19200()))
	s, err := r.Serve()
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	over := make(chan error)
	go func() { over <- s.Run(ctx) }()
	began := time.Now()
	looks := 0
	for ; time.Since(began) < 5*time.Second; looks++ {
		registers, err := link.Look(link.Serial(link.Settings{Path: s.Path}), 1)
		if _, known := registers.Identity(); err != nil || !known {
			t.Fatalf("look %d: %v", looks, err)
		}
	}
	end()
	if err := <-over; err != nil {
		t.Error(err)
	}
	r.Stop()
	lived := time.Duration(r.Seen.Cycle) * time.Second / Hertz
	t.Logf("%d looks at all registers in %v of the chip's time, %.0f %% of one core, %v late at most", looks,
		lived.Round(time.Millisecond),
		100*r.Used().Seconds()/lived.Seconds(), s.Late.Round(time.Millisecond))
}
