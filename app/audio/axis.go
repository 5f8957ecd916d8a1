package audio

import (
	"slices"
	"time"
)

// axisOver is over how long the least is taken, at most axisBlocks: longer than the
// computer may be too busy for a block.
const (
	axisOver   = 1200 * time.Millisecond
	axisBlocks = int(axisOver * Rate / InputFrames / time.Second)
)

// maxSlip is the rise of the time axis from which frames count as lost. What
// clocks of sound cards drift in axisOver is a hundredth of it.
const maxSlip = 10 * time.Millisecond

// axis finds the time of each frame from when blocks arrived. A block can only
// be late, never early: so the least of the arrivals, each less the frames before
// it, is the time of the first frame, late by the path's constant delay.
type axis struct {
	began  time.Time
	frames int64 // counted so far, with those in place of lost ones
	recent [axisBlocks]time.Duration
	blocks int64 // over how many the least is taken
	count  int64
	origin time.Duration // of frame 0, from began
}

// newAxis is the axis of a stream that comes in blocks of so many frames.
func newAxis(frames int64) axis {
	return axis{blocks: max(10, min(int64(axisBlocks), framesIn(axisOver)/frames))}
}

// lasts is how long so many frames last.
func lasts(frames int64) time.Duration {
	return time.Duration(frames/Rate)*time.Second + time.Duration(frames%Rate)*time.Second/Rate
}

// framesIn is how many frames last so long.
func framesIn(d time.Duration) int64 {
	return int64(d/time.Second)*Rate + int64(d%time.Second)*Rate/int64(time.Second)
}

// passed takes a block in that was complete at a moment, and returns the time of its first frame.
// lost is how many frames are missing before it: the block's own time is after them.
func (a *axis) passed(at time.Time, frames int) (first time.Time, lost int64) {
	if a.count == 0 {
		a.began = at
	}
	a.recent[a.count%a.blocks] = at.Sub(a.began) - lasts(a.frames+int64(frames))
	a.count++
	minimum := slices.Min(a.recent[:min(a.count, a.blocks)])
	switch {
	case a.count <= a.blocks:
		// At the start a device may hand over what it had waiting; nothing is lost by it.
		a.origin = minimum
	case minimum > a.origin+maxSlip:
		lost = framesIn(minimum - a.origin)
		a.frames += lost
		for i := range a.recent {
			a.recent[i] -= lasts(lost)
		}
	default:
		a.origin = minimum
	}
	first = a.began.Add(a.origin + lasts(a.frames))
	a.frames += int64(frames)
	return first, lost
}

// of is the time of a frame, counted from the first.
func (a *axis) of(frame int64) time.Time { return a.began.Add(a.origin + lasts(frame)) }
