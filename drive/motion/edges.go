package motion

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

const (
	// edgeDoubt is how far an edge may be from its place, in counts, that of its
	// kind being known; kindDoubt how far one kind may be from the mean of the four.
	edgeDoubt, kindDoubt = 0.1, 0.08
	// slewDoubt is how far, in counts, an edge may seem off in smooth motion at speed.
	slewDoubt = 0.15
)

// place is the axis angle of the edge below a count, with its learned error.
func (a *Axis) place(s mount.Scale, z mount.Zero, count int32) float64 {
	return (s.Edge(z, count) + a.Learned.Edges[uint32(count)%4]).Rad()
}

// learnEdge learns the errors of the four edges of an encoder cycle from how
// far each is from where the dish was thought to be. Their mean is nothing that
// could be learned: it stays 0.
func (a *Axis) learnEdge(d *Drive, edge int32, wrong, step float64) {
	e, seen := &a.Learned.Edges, &a.Learned.EdgesSeen[uint32(edge)%4]
	pace := a.edgePace(d, wrong, step, float64(*seen))
	if pace == 0 {
		return
	}
	e[uint32(edge)%4] -= unit.Angle(pace * wrong)
	*seen = min(*seen+1, 1000)
	mean := (e[0] + e[1] + e[2] + e[3]) / 4
	for i := range e {
		e[i] = max(-unit.Angle(0.4*step), min(unit.Angle(0.4*step), e[i]-mean))
	}
}

// edgePace is the part of an edge's error that is learned, having been seen so
// often; 0 where it tells nothing.
func (a *Axis) edgePace(d *Drive, wrong, step, seen float64) float64 {
	smooth := math.Abs(a.Body.Speed) >= 0.1*d.TopSpeed.Rad() && math.Abs(a.Profile.A) <= 0.02*d.Acceleration.Rad()
	if math.Abs(wrong) > 0.5*step || a.Phase == moving && !smooth {
		return 0
	}
	if d.hides(step) {
		if a.Phase != moving {
			return 0 // a load may have carried the dish
		}
		return max(0.03, 0.5/(1+seen))
	}
	// Counts so fine are seen while the axis creeps too, and less surely at speed,
	// where the age of a count is known to a millisecond.
	doubt := square(slewDoubt * step)
	if a.Phase != moving {
		doubt = a.Variance + square(edgeDoubt*step)
		if wrong*wrong > 9*doubt {
			return 0
		}
	}
	return max(0.01, 1/(doubt/square(kindDoubt*step)+1+seen))
}
