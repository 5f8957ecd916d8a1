package audio

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"
	"time"
)

// The test tone: half of full scale, as loud as the tones of a measurement, with edges that keep it narrow.
const (
	testToneHz    = 1000
	testToneLevel = 0.5
	testToneLasts = 2 * time.Second
	testToneEdge  = Rate / 100 // samples
)

// testTone plays the test tone on a device and returns when all of it was handed to the sound system.
func testTone(ctx context.Context, system System, wanted string) error {
	devices, err := Outputs(ctx, system)
	if err != nil {
		return err
	}
	device, err := Find(devices, wanted)
	if err != nil {
		return fmt.Errorf("test tone: %w", err)
	}
	var played atomic.Int64
	stream, err := open(ctx, func() (Stream, error) {
		return system.Play(device.ID, func(room []float32) { // the sound system's thread alone
			from := played.Load()
			for i := range room {
				room[i] = testSample(from + int64(i))
			}
			played.Add(int64(len(room)))
		})
	})
	if err != nil {
		return fmt.Errorf("test tone: %w", err)
	}
	defer shut(stream)
	ticker := time.NewTicker(50 * time.Millisecond)
	defer ticker.Stop()
	before, heard, patience := int64(0), time.Now(), silentAtStart
	for played.Load() < framesIn(testToneLasts)+OutputFrames { // with the block that the sound system still holds
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-ticker.C:
		}
		switch n := played.Load(); {
		case n != before:
			before, heard, patience = n, time.Now(), 2*silentAfter
		case time.Since(heard) > patience:
			return fmt.Errorf("test tone: %w", errLost)
		}
	}
	return nil
}

// testSample is a sample of the test tone; 0 after its end.
func testSample(i int64) float32 {
	n := framesIn(testToneLasts)
	if i >= n {
		return 0
	}
	level := testToneLevel
	if edge := min(i, n-1-i); edge < testToneEdge {
		level *= (1 - math.Cos(math.Pi*float64(edge)/testToneEdge)) / 2
	}
	return float32(level * math.Sin(2*math.Pi*testToneHz*float64(i)/Rate))
}
