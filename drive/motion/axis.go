package motion

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// AxisSample is what a reply shows of an axis.
type AxisSample struct {
	Counts int32
	// Upward: the last count was upward. Since is its age at the snapshot, KnownSince whether it is known.
	Upward     bool
	Since      time.Duration
	KnownSince bool
	// At is the moment of the snapshot in the loop's time.
	At time.Duration
	// Applied is the drive really applied, + to rising angles.
	Applied float64
	// Current of the motor, amperes, positive where it drives to rising angles;
	// valid with HasCurrent.
	Current    float64
	HasCurrent bool
}

// phase is what an axis does. Only Axis.enter changes it.
type phase uint8

const (
	stopped  phase = iota // demand zero; may become moving or pushing
	moving                // along the profile; ends stopped
	pushing               // a push of a few ticks; becomes settling
	settling              // after a push, until the axis stands; becomes stopped
)

// maxPending is the number of demands remembered: two seconds and more at ten a second.
const maxPending = 24

type pendingDemand struct {
	At    time.Duration // when it takes effect
	Value float64
}

// reversal is what is followed of the motor's last turning round.
type reversal struct {
	// Open: it turned after a run through the whole backlash, and no count came since.
	Open        bool
	Side        float64
	Motor, Dish float64 // where it turned
}

// Axis is one axis in motion. Its zero knows nothing. Its fields are exported
// so that it can be recorded; only its methods change them.
type Axis struct {
	// Body is the axis at the moment At of the newest snapshot.
	Body Body
	At   time.Duration
	Have bool
	// Learned is what the axis has shown of itself.
	Learned Learned

	Counts    int32
	LoadKnown bool    // the load is known from the motor current
	Variance  float64 // of Body.Dish, radians squared
	Sway      Sway
	Since     float64 // model travel of the dish since the last count
	Edge      float64 // place of the last edge passed
	Edged     float64 // direction in which it was passed, 0 where none was
	Reversal  reversal
	Sent      [maxPending]pendingDemand
	Newest    int // index in Sent

	Phase        phase
	Profile      Profile       // of the motor side
	BacklashSide float64       // to which a load last carried the dish
	Side         float64       // of the backlash that the profile drives on: +1 upward
	Ticks        int           // left of a push
	Level        float64       // of a push
	Lead         float64       // how far ahead of the place it is to end
	Done         bool          // it has come to its place
	Detour       bool          // going to the far side of the setpoint, to come to it from the approach side
	Asked        float64       // the newest demand
	RestFor      time.Duration // how long it has been brought to rest, or at rest after it
	LastRun      float64       // direction of the last motion
}

// Demanded is the newest demand.
func (a *Axis) Demanded() float64 { return a.Asked }

// Stopped reports whether the axis neither moves along a profile nor pushes.
func (a *Axis) Stopped() bool { return a.Phase == stopped }

// Settled reports whether the axis has come to the place it was to go to.
func (a *Axis) Settled() bool { return a.Done }

// Stand says that the axis stands, as the counts have shown for a while: what the model still runs after a stop by the
// brakes, or by a drive stage without power, is no motion to work against.
func (a *Axis) Stand() {
	a.Body.Speed, a.Body.Input, a.Body.Duty = 0, a.Body.Applied, a.Body.Applied
	a.halt(&a.Body)
}

// Relocate starts the estimate again from the counts alone, as after a change of
// the reference, without ending a motion.
func (a *Axis) Relocate(s mount.Scale, z mount.Zero, sample AxisSample) {
	place := s.Middle(z, sample.Counts).Rad()
	shift := place - a.Body.Dish
	a.Body.Dish, a.Body.Motor, a.Body.Applied = place, place, sample.Applied
	if !a.Have {
		a.Profile = Profile{P: place}
	} else {
		a.Profile.P += shift
	}
	a.At, a.Have, a.Counts, a.Since = sample.At, true, sample.Counts, 0
	a.Variance = s.Step.Rad() * s.Step.Rad() / 12
}

// Observe takes a new reply in: the model runs to its moment and is put right
// by the counts.
func (a *Axis) Observe(d *Drive, s mount.Scale, z mount.Zero, sample AxisSample) {
	if !a.Have || sample.At-a.At > 2*time.Second || sample.At < a.At {
		a.Relocate(s, z, sample)
		a.Body.Input, a.Body.Duty = sample.Applied, sample.Applied
		a.Body.Speed = 0
		return
	}
	before, passed := a.Body, sample.At-a.At
	a.estimateLoad(d, &sample)
	a.advance(d, &a.Body, a.At, sample.At)
	travel := a.Body.Dish - before.Dish
	a.Since += travel
	a.At = sample.At
	a.Body.Applied = sample.Applied
	a.noteReversal(d, &before)

	step := s.Step.Rad()
	a.Variance += a.doubt(d, travel, step, passed.Seconds())
	if sample.Counts != a.Counts {
		a.correct(d, s, z, sample, step)
	}
	low, high := a.place(s, z, sample.Counts), a.place(s, z, sample.Counts+1)
	if low > high {
		low, high = high, low
	}
	a.Body.within(low, high, a.Learned.backlash(d))
	a.toTruncatedMean(d, low, high)
	a.Counts = sample.Counts
}

// noteReversal notes that the motor turned round.
func (a *Axis) noteReversal(d *Drive, before *Body) {
	moved := a.Body.Motor - before.Motor
	if moved*a.Reversal.Side < 0 || a.Reversal.Side == 0 && moved != 0 {
		through := a.Reversal.Side != 0 && math.Abs(before.Motor-a.Reversal.Motor) > 1.5*d.Backlash.Rad()
		a.Reversal = reversal{Open: through, Side: sign(moved), Motor: before.Motor, Dish: before.Dish}
	}
}

// learnBacklash learns the backlash from the first count after the motor turned round.
func (a *Axis) learnBacklash(d *Drive, place, direction float64) {
	t := &a.Reversal
	if !t.Open {
		return
	}
	t.Open = false
	if direction != t.Side {
		return
	}
	seen := math.Abs(a.Body.Motor-t.Motor) - math.Abs(place-t.Dish)
	seen = max(0, min(d.Backlash.Rad(), seen))
	if a.Learned.HasBacklash {
		seen = (seen + a.Learned.backlash(d)) / 2
	}
	a.Learned.Backlash, a.Learned.HasBacklash = unit.Angle(seen), true
}

// correct puts the estimate right by the newest edge.
func (a *Axis) correct(d *Drive, s mount.Scale, z mount.Zero, sample AxisSample, step float64) {
	edge := sample.Counts
	if !sample.Upward {
		edge++
	}
	place, direction := a.place(s, z, edge), a.direction(s, sample)
	since := sample.Since.Seconds()
	if !sample.KnownSince || since > 0.5 {
		since = 0
	}
	ran := a.dishSpeed(d) * since // since the edge
	a.Since -= ran
	a.learn(d, place, direction, step)
	a.learnBacklash(d, place, direction)
	wrong := place + ran - a.Body.Dish
	a.learnEdge(d, edge, wrong, step)
	a.learnSway(d, sample.At.Seconds()-since, direction, place-a.Body.Dish, step)
	noise := square(edgeDoubt * step)
	if wrong*wrong > 9*(a.Variance+noise) {
		// Not what the drive did: wind in the backlash, or a drive unlike its model.
		a.Variance = wrong * wrong
	}
	gain := a.Variance / (a.Variance + noise)
	a.Variance *= 1 - gain
	by := gain * wrong
	half := a.Learned.backlash(d) / 2
	soon := a.Phase != moving && direction*wrong > soonEdge*step && a.BacklashSide != direction
	if driven := sign(a.Body.Speed); driven != 0 && driven == direction && !soon {
		// The motor side carries the dish: it is in touch.
		a.Body.Dish += by
		touching := a.Body.Dish + driven*half
		shift := touching - a.Body.Motor
		a.Profile.P += shift
		a.Reversal.Motor += shift
		a.Body.Motor = touching
	} else {
		if soon {
			by = a.carried(d, direction, direction*(place-a.Body.Dish), step)
		}
		a.Body.push(by, a.Learned.backlash(d))
	}
	a.Variance += a.Sway.Rate * since
	a.Since, a.Edge, a.Edged = ran, place, direction
}

// direction of the newest count, as an angle.
func (a *Axis) direction(s mount.Scale, sample AxisSample) float64 {
	if sample.Upward == (s.Direction > 0) {
		return 1
	}
	return -1
}

// dishSpeed is the speed of the dish itself: the motor's, where it is in touch.
func (a *Axis) dishSpeed(d *Drive) float64 {
	half := a.Learned.backlash(d) / 2
	if v := a.Body.Speed; v != 0 && math.Abs(a.Body.Motor-sign(v)*half-a.Body.Dish) < 1e-9 {
		return v
	}
	return 0
}

// learn adjusts the gain at speed and the dead zone in pushes by how far the
// model was wrong between two edges passed in the same direction.
func (a *Axis) learn(d *Drive, place, direction, step float64) {
	travel := a.Since
	if a.Edged != direction || travel*direction < 0.3*step {
		return
	}
	part := max(-0.5, min(0.5, (place-a.Edge)/travel-1))
	steady := a.Learned.SpeedAt(d, a.Body.Applied)
	switch speed := math.Abs(a.Body.Speed); {
	case speed > 0.3*d.TopSpeed.Rad() && math.Abs(steady-a.Body.Speed) < 0.02*speed:
		a.Learned.Gain = max(0.3, min(3, a.Learned.gain()*(1+0.01*part)))
	case math.Abs(travel) < 3*step && a.Phase != moving && a.Level != 0:
		a.learnDead(part, a.Level)
	case math.Abs(travel) < 3*step && a.Phase == moving && speed < 0.2*d.TopSpeed.Rad():
		a.learnDead(part, a.Body.Applied)
	}
}

// advance runs a body from one moment to another under the demands in flight.
func (a *Axis) advance(d *Drive, b *Body, from, to time.Duration) {
	for from < to {
		value, until := a.inForce(from, to)
		b.Run(d, &a.Learned, value, (until - from).Seconds())
		from = until
	}
}

// inForce is the demand in force at a moment, and until when, at most to.
func (a *Axis) inForce(at, to time.Duration) (value float64, until time.Duration) {
	until = to
	for i := range maxPending {
		f := &a.Sent[(a.Newest+maxPending-i)%maxPending]
		if f.At <= at {
			return f.Value, until
		}
		until = min(until, f.At)
		value = f.Value
	}
	return value, until
}

func square(v float64) float64 { return v * v }

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
