package beam

import (
	"time"

	"beamhelm/app/view"
)

// The trace shows where the beam was beside the setpoint in the last minutes.
const (
	traceTime  = 3 * time.Minute
	traceEvery = time.Second
	traceCount = int(traceTime / traceEvery)
)

// trace keeps the newest spots of the beam, oldest first.
type trace struct {
	spots []view.Spot
	gaps  []bool // no line comes from the spot before
	apart bool   // the beam was away from the setpoint
}

// add takes in a moment, and says whether the trace has changed.
func (t *trace) add(b view.Beam) bool {
	if !b.HasSetpoint || b.Setpoint != (view.Spot{}) {
		t.apart = true
		return false
	}
	n := len(t.spots)
	still := n > 0 && !t.apart && b.Position.Minus(t.spots[n-1]).Far() == 0
	if n >= traceCount {
		copy(t.spots, t.spots[1:])
		copy(t.gaps, t.gaps[1:])
		t.spots, t.gaps = t.spots[:n-1], t.gaps[:n-1]
	}
	t.spots, t.gaps = append(t.spots, b.Position), append(t.gaps, t.apart)
	t.apart = false
	return !still
}
