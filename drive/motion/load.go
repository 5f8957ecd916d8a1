package motion

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

const (
	// minLoadCurrent is the least that tells of the load, amperes.
	minLoadCurrent = 0.25
	// minLoadDrive is the least drive at which the motor current tells of it.
	minLoadDrive = 0.02
	// driveUncertainty is how much drive must be left beside what is lost for the axis to move
	// beyond doubt: the drive stage's own slope is known to about that.
	driveUncertainty = 0.008
	// atFirst is the part of the drive that is taken as lost in a first push that
	// turns the motor: all of it is the most that can be, for nothing turns backwards.
	atFirst = 0.8
	// currentAge is that of the current at the snapshot: it is a mean of 50 ms.
	currentAge = 25 * time.Millisecond
	// soonEdge is how far beyond the estimate an edge must lie, in counts, for its
	// passing to be a load's doing rather than the drive's.
	soonEdge = 0.2
)

// estimateLoad takes the load from the motor current while the axis creeps: at rest
// in the winding all drive is lost there, and what the current does not
// account for turns the motor. The dead zone is what the load loses.
func (a *Axis) estimateLoad(d *Drive, sample *AxisSample) {
	if a.Phase == moving || !sample.HasCurrent || d.Speeds > 0 {
		a.LoadKnown = false
		return
	}
	if math.Abs(sample.Current) < minLoadCurrent {
		return // as at rest, which is most of the time
	}
	b := a.Body
	a.advance(d, &b, a.At, sample.At-currentAge)
	duty, l := math.Abs(b.Duty), &a.Learned
	current := sample.Current * sign(b.Duty)
	if duty < minLoadDrive || current < minLoadCurrent || math.Abs(b.Speed) > 0.2*d.TopSpeed.Rad() {
		return
	}
	if maximum := atFirst * (duty + driveUncertainty) / current; l.Loss == 0 || l.LossSeen < 4 && l.Loss > maximum {
		l.Loss = maximum
	}
	a.LoadKnown = true
	switch lost := l.Loss * current; {
	case lost < duty-driveUncertainty:
		l.Dead = max(0, min(0.3, lost))
	case l.Dead < duty: // it stands yet: the load takes at least this
		l.Dead = min(0.3, duty)
	}
}

// learnDead adjusts the dead zone by how far the travel at that drive was from the model's.
func (a *Axis) learnDead(part, drive float64) {
	room := max(0.005, math.Abs(drive)-a.Learned.Dead)
	rate := 0.2
	if math.Abs(part) > 0.3 {
		rate = 0.5 // more than uneven edges explain: the load has changed
	}
	if l := &a.Learned; a.LoadKnown {
		l.LossSeen = min(l.LossSeen+1, 1000)
		pace := max(0.05, 1/(0.5+float64(l.LossSeen)))
		if math.Abs(part) > 0.3 {
			pace = max(pace, 0.2)
		}
		l.Loss = max(1e-4, min(1, l.Loss*(1-pace*part*min(3, room/(2*max(0.005, l.Dead))))))
		return
	}
	a.Learned.Dead = max(0, min(0.3, a.Learned.Dead-rate*part*room))
}

// carried is how far a load has carried the dish in a direction that passed an
// edge that far off: through the backlash, but not past the next edge. A load that
// does so holds it there, so that no backlash is felt when the motor turns round.
func (a *Axis) carried(d *Drive, direction, far, step float64) float64 {
	a.Learned.Backlash, a.Learned.HasBacklash = unit.Angle(0), true
	a.BacklashSide = direction
	return direction * min(max(far, d.Backlash.Rad()), far+0.9*step)
}
