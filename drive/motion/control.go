package motion

import (
	"math"
	"time"
)

// GoalKind says what an axis is to do.
type GoalKind uint8

const (
	// Cut is zero demand at once, whatever moves.
	Cut GoalKind = iota
	// Rest brings the axis to rest by the slope.
	Rest
	// Fade takes the demand to zero by the slope, whatever is known of the axis.
	Fade
	// Go goes to Place, which moves at Rate, and stays with it.
	Go
	// Run turns at Speed.
	Run
	// Push drives as Speed of top speed asks, whatever the counts do.
	Push
)

// Goal is what an axis is to do, for the moment at which the demand takes effect.
type Goal struct {
	Kind        GoalKind
	Place, Rate float64
	Speed       float64
	// Tolerance is how far the axis may be off before it moves; 0: as close as the drive can.
	Tolerance float64
	// Count is the angle of one encoder count: what an axis that must be
	// approached from one side may be past its place.
	Count float64
	// Low and High are the limits of motion; Limited says whether they hold.
	Low, High float64
	Limited   bool
	// BlockLow and BlockHigh: no motion to falling or rising angles.
	BlockLow, BlockHigh bool
	// Share of top speed that may be used, 0 to 1.
	Share float64
}

// blind is the age of the newest reply beyond which the model alone moves nothing.
const blind = 1200 * time.Millisecond

// Demand is the drive to ask for, -1 to 1, for a demand that takes effect at
// the moment effect and lasts tick. It must be called once for each tick.
func (a *Axis) Demand(d *Drive, g Goal, effect, tick time.Duration) float64 {
	demand := 0.0
	switch {
	case g.Kind == Cut || !a.Have:
		a.halt(&a.Body)
	case g.Kind == Fade || effect-a.At > blind:
		fall := d.Acceleration.Rad() / d.TopSpeed.Rad() * tick.Seconds()
		demand = math.Copysign(max(0, math.Abs(a.Asked)-fall), a.Asked)
		a.halt(&a.Body)
	default:
		b := a.Body
		a.advance(d, &b, a.At, effect)
		demand = a.slope(d, a.plan(d, &g, &b, tick.Seconds()), &b, tick)
	}
	demand = a.bringToRest(d, g.Kind == Rest, demand, tick)
	if g.BlockLow && demand < 0 || g.BlockHigh && demand > 0 || math.IsNaN(demand) {
		demand = 0
		a.halt(&a.Body)
	}
	demand = max(-1, min(1, demand))
	if demand != 0 {
		a.LastRun = sign(demand)
	}
	a.Asked = demand
	a.Newest = (a.Newest + 1) % maxPending
	a.Sent[a.Newest] = pendingDemand{effect, demand}
	return demand
}

// bringToRest bounds the demand while the axis is brought to rest. The profile follows how the axis
// moves: where an enclosure drives it on, the demand would fall as little as the
// drive does, and nobody could tell.
func (a *Axis) bringToRest(d *Drive, rest bool, demand float64, tick time.Duration) float64 {
	if !rest {
		a.RestFor = 0
		return demand
	}
	a.RestFor += tick
	within := 2*d.braking() + 2*time.Second
	maximum := 1 - a.RestFor.Seconds()/within.Seconds()
	if maximum <= 0 {
		a.halt(&a.Body)
		return 0
	}
	return max(-maximum, min(maximum, demand))
}

// slope bounds the change of the demand to somewhat more than the enclosure's
// own ramp follows, and, along a profile, to what the drive stage can make of
// it in the next two ticks and a half: what runs further ahead would have to be
// taken back just as slowly. A stepped drive has no slope.
func (a *Axis) slope(d *Drive, demand float64, b *Body, tick time.Duration) float64 {
	if d.Speeds > 0 {
		return demand
	}
	change := 0.15
	if d.Ramp > 0 {
		change = max(change, 1.5*tick.Seconds()/d.Ramp.Seconds())
	}
	if a.Phase == moving {
		reach := 2.5 * d.Acceleration.Rad() / d.TopSpeed.Rad() * tick.Seconds()
		demand = max(b.Duty-reach, min(b.Duty+reach, demand))
	}
	return max(a.Asked-change, min(a.Asked+change, demand))
}

// halt ends whatever was going on.
func (a *Axis) halt(b *Body) {
	a.enter(stopped)
	a.Done, a.Detour = false, false
	a.Profile = Profile{P: b.Motor}
}

// enter changes the phase.
func (a *Axis) enter(p phase) { a.Phase = p }

func (a *Axis) plan(d *Drive, g *Goal, b *Body, h float64) float64 {
	bounds := a.bounds(d, g.Share)
	switch g.Kind {
	case Rest:
		return a.planRest(d, bounds, b, h)
	case Run:
		return a.planRun(d, bounds, g, b, h)
	case Push:
		return a.planPush(d, g, b)
	}
	return a.planGo(d, bounds, g, b, h)
}

// bounds are those of the drive as learned, with a little kept back so that
// the axis can make up for what the model does not know.
func (a *Axis) bounds(d *Drive, share float64) Bounds {
	if share <= 0 || share > 1 {
		share = 1
	}
	b := Bounds{0.98 * d.TopSpeed.Rad() * a.Learned.gain() * share, 0.94 * d.Acceleration.Rad(), d.Jerk.Rad()}
	if d.Ramp > 0 {
		b.Acceleration = min(b.Acceleration, 0.95*d.TopSpeed.Rad()*a.Learned.gain()/d.Ramp.Seconds())
	}
	return b
}

func (a *Axis) planRest(d *Drive, bounds Bounds, b *Body, h float64) float64 {
	a.Done, a.Detour = false, false
	switch a.Phase {
	case stopped:
		a.Profile = Profile{P: b.Motor}
		return 0
	case moving:
		stop := a.Profile.P + bounds.stop(a.Profile.V, a.Profile.A)
		return a.along(d, bounds, stop, 0, b, h)
	}
	a.enter(stopped)
	return 0
}

// planRun turns steadily, towards the limit where there is one, so that it
// stops in time before it.
func (a *Axis) planRun(d *Drive, bounds Bounds, g *Goal, b *Body, h float64) float64 {
	a.Done, a.Detour = false, false
	speed := max(-bounds.Speed, min(bounds.Speed, g.Speed))
	way := sign(speed)
	target := b.Motor + way*1e3
	if g.Limited {
		limit := max(g.Low, min(g.High, b.Dish+way*1e3))
		target = limit + way*a.Learned.backlash(d)/2
		if way*(limit-b.Dish) <= 0 {
			way = 0
		}
	}
	if a.Phase != moving && way != 0 {
		a.begin(b, way)
	}
	if a.Phase != moving {
		return 0
	}
	p := &a.Profile
	if little := bounds.Jerk * h * h; way == 0 || way*p.V < -little || math.Abs(p.V) > math.Abs(speed)+little {
		return a.along(d, bounds, p.P+bounds.stop(p.V, p.A), 0, b, h)
	}
	bounds.Speed = math.Abs(speed)
	return a.along(d, bounds, target, 0, b, h)
}

// planPush drives openly, and no longer where the stopping distance would not
// end before a limit.
func (a *Axis) planPush(d *Drive, g *Goal, b *Body) float64 {
	a.halt(b)
	way := sign(g.Speed)
	left := math.Inf(1)
	switch {
	case g.Limited && way > 0:
		left = g.High - b.Dish
	case g.Limited:
		left = b.Dish - g.Low
	}
	if left <= d.StoppingDistance().Rad() {
		return 0
	}
	return g.Speed / d.TopSpeed.Rad()
}

// begin starts a profile from where the axis is.
func (a *Axis) begin(b *Body, side float64) {
	if side == 0 {
		return
	}
	a.enter(moving)
	a.Profile = Profile{P: b.Motor, V: b.Speed}
	a.Side = side
}

// astray is from how far off, in seconds of top speed, a profile is planned again from where the axis is.
const astray = 0.06

// along moves the profile on and asks for the drive that puts the motor side on it.
func (a *Axis) along(d *Drive, bounds Bounds, target, rate float64, b *Body, h float64) float64 {
	p := &a.Profile
	if off := math.Abs(p.P - b.Motor); off > astray*bounds.Speed {
		// The axis does not follow: plan again from where it is.
		*p = Profile{b.Motor, b.Speed, a.acceleration(d, bounds, b)}
	}
	ahead := 0.2 + h
	n := math.Ceil(h / modelStep)
	for range int(n) {
		p.Advance(bounds, target, rate, h/n)
		target += rate * h / n
	}
	if p.V == rate && p.A == 0 && p.P == target && rate == 0 && math.Abs(b.Speed) < 0.02*bounds.Speed {
		a.enter(stopped)
		return 0
	}
	// The profile now stands at the end of this tick; where it will be a little later:
	far := *p
	for range 5 {
		far.Advance(bounds, target, rate, (ahead-h)/5)
		target += rate * (ahead - h) / 5
	}
	lag := d.Lag.Seconds()
	coast := lag * (1 - math.Exp(-ahead/lag))
	if lag == 0 {
		coast = 0
	}
	if d.Speeds > 0 {
		return a.rung(d, b, target, h)
	}
	coming := a.Learned.SpeedAt(d, b.Input) // what the drive stage has taken in is still to come
	speed := (far.P - b.Motor - coming*coast) / (ahead - coast)
	if top := a.Learned.gain() * d.TopSpeed.Rad(); math.Abs(speed) > top {
		// The axis cannot keep up: the profile must not run away from it.
		p.P -= (speed - math.Copysign(top, speed)) * (ahead - coast)
	}
	return a.Learned.DriveFor(d, speed)
}

// acceleration is that of the motor side now, by the model, within bounds: a
// profile planned again without it would give up what braking there is.
func (a *Axis) acceleration(d *Drive, bounds Bounds, b *Body) float64 {
	if d.Speeds > 0 {
		return 0
	}
	now := (a.Learned.SpeedAt(d, b.Input) - b.Speed) / modelStep
	return max(-bounds.Acceleration, min(bounds.Acceleration, now))
}

// Arrives is about how long the axis takes to a place from where it is, in seconds.
func (a *Axis) Arrives(d *Drive, place float64) float64 {
	if a.Done {
		return 0
	}
	b := a.bounds(d, 1)
	left := math.Abs(place - a.Body.Dish)
	return left/b.Speed + max(0, b.Speed-math.Abs(a.Body.Speed))/b.Acceleration
}
