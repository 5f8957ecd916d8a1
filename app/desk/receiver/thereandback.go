package receiver

import (
	"math"
	"time"

	"beamhelm/app/message"
)

// Mean is the level of a place that was visited there and back.
type Mean struct {
	// Power is linear, Error its standard deviation as a share of it.
	Power, Error float64
}

// minDrift is how steady a receiver's gain is over a minute or two at best, as a share (common practice, no source).
const minDrift = 0.001

// ThereAndBack returns the means of places that were visited one after the other, from the first to the last and back
// to the first, at the middles of the stops. A gain that drifts evenly falls out of the mean of two visits; how far the
// two differ says how it drifts, and is in the errors.
func ThereAndBack(stops []Stop, middles []time.Time) ([]Mean, error) {
	n := (len(stops) + 1) / 2
	if n < 2 || len(stops)%2 == 0 || len(middles) != len(stops) {
		return nil, message.Of("receiver.there-and-back")
	}
	for i, s := range stops {
		if s.N < 2 || !(s.Power > 0) || math.IsInf(s.Power, 0) {
			return nil, message.Of("receiver.point", i+1)
		}
	}
	means := make([]Mean, n)
	middle := make([]float64, n) // seconds from the turning point to the middle of the two visits
	var drift, along, spans float64
	for i := range means {
		j := len(stops) - 1 - i
		there, back := stops[i], stops[j]
		means[i].Power = (there.Power + back.Power) / 2
		scatter := math.Hypot(there.Scatter/math.Sqrt(float64(there.N)), back.Scatter/math.Sqrt(float64(back.N))) / 2
		means[i].Error = scatter / means[i].Power
		differ, span := (back.Power-there.Power)/means[i].Power, middles[j].Sub(middles[i]).Seconds()
		middle[i] = middles[i].Sub(middles[n-1]).Seconds() + span/2
		drift += differ * differ
		along += differ * span
		spans += span * span
	}
	if !(spans > 0) {
		return nil, message.Of("receiver.no-time")
	}
	for i := range means { // the two ways may have taken different times
		means[i].Power *= 1 - along/spans*middle[i]
	}
	// The turning point has no second visit.
	drift = math.Max(minDrift, math.Sqrt(drift/float64(n-1))/2)
	for i := range means {
		means[i].Error = math.Hypot(means[i].Error, drift)
	}
	return means, nil
}
