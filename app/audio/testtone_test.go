package audio

import (
	"context"
	"math"
	"testing"
	"testing/synctest"
	"time"
)

// The test tone is 1000 Hz for 2 s at half of full scale, and nothing after it; it ends by itself, and closes the
// device.
func TestTestTone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "line", Name: "Line out"}}}
		done := make(chan error)
		go func() { done <- testTone(t.Context(), m, "Line out") }()
		var all []float32
		for {
			select {
			case err := <-done:
				if err != nil {
					t.Fatal(err)
				}
				checkTone(t, all)
				if m.closed != 1 {
					t.Errorf("closed %d times", m.closed)
				}
				return
			case <-time.After(200 * time.Millisecond):
			}
			m.mu.Lock()
			if m.got != nil {
				block := make([]float32, OutputFrames)
				m.got(block)
				all = append(all, block...)
			}
			m.mu.Unlock()
		}
	})
}

func checkTone(t *testing.T, all []float32) {
	t.Helper()
	crossings, top, last := 0, 0.0, 0
	for i, x := range all {
		if i > 0 && x > 0 && all[i-1] <= 0 {
			crossings++
		}
		if top = max(top, math.Abs(float64(x))); x != 0 {
			last = i
		}
	}
	if crossings < 1998 || crossings > 2002 || math.Abs(top-0.5) > 0.001 || last > 2*Rate || last < 2*Rate-100 {
		t.Errorf("%d periods, greatest %.3f, last sample %d", crossings, top, last)
	}
}

// A test tone whose device isn't there, or falls silent, says so; one that is given up ends.
func TestTestToneFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "line", Name: "Line out"}}}
		if err := testTone(t.Context(), m, "USB"); err == nil {
			t.Error("played on nothing")
		}
		if err := testTone(t.Context(), m, "line"); err == nil { // the device never asks for a sample
			t.Error("a silent device played")
		}
		ctx, end := context.WithTimeout(t.Context(), 100*time.Millisecond)
		defer end()
		if err := testTone(ctx, m, "line"); err == nil {
			t.Error("given up, it played")
		}
	})
}
