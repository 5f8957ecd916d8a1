package audio

import "math"

// clipped is from where on a sample counts as clipped, and maxClipped how many
// of them a tenth of a second may have.
const (
	clipped    = 32700.0 / 32768
	maxClipped = 3
)

// Level is how strong the audio is.
type Level struct {
	// RMSDBFS and PeakDBFS of the last tenth of a second: dB over a square wave
	// of full scale, so that a sine of full scale has -3.0 and 0. -Inf: only zeros.
	RMSDBFS, PeakDBFS float64
	// Clipping says that samples were at full scale in the last 2 s.
	Clipping bool
	// Dead says that there were nothing but zeros for 2 s: switched off, or not allowed.
	Dead bool
}

const (
	levelFrames = Rate / 10
	holdTenths  = 20
)

// levelMeter works out the level. Its zero is ready.
type levelMeter struct {
	level  Level
	frames int
	sum    float64
	peak   float64
	full   int // clipped samples
	// tenths since the last that clipped, and of zeros alone in a row.
	unclipped, zeros int
	clippedOnce      bool
}

func (m *levelMeter) take(samples []float32) {
	for _, x := range samples {
		v := math.Abs(float64(x))
		m.sum += v * v
		m.peak = max(m.peak, v)
		if v >= clipped {
			m.full++
		}
		if m.frames++; m.frames == levelFrames {
			m.close()
		}
	}
}

// close ends a tenth of a second.
func (m *levelMeter) close() {
	m.unclipped++
	if m.full > maxClipped {
		m.unclipped, m.clippedOnce = 0, true
	}
	if m.zeros++; m.peak > 0 {
		m.zeros = 0
	}
	m.level = Level{
		RMSDBFS: 10 * math.Log10(m.sum/levelFrames), PeakDBFS: 20 * math.Log10(m.peak),
		Clipping: m.clippedOnce && m.unclipped < holdTenths, Dead: m.zeros >= holdTenths,
	}
	m.frames, m.sum, m.peak, m.full = 0, 0, 0, 0
}
