package motion

import "math"

// planGo goes to a place and stays with it: along a profile where the way is
// long or the place moves faster than the axis can steadily creep, else in
// short pushes.
func (a *Axis) planGo(d *Drive, bounds Bounds, g *Goal, b *Body, h float64) float64 {
	half := a.Learned.backlash(d) / 2
	g = a.withinLimits(bounds, g, b)
	place := g.Place
	off := place - b.Dish
	minimum := a.minimum(d, h)
	creeping := math.Abs(g.Rate) < 0.7*a.steady(d)
	if a.Phase == moving {
		if creeping {
			place = a.leading(g, place)
		}
		if a.Detour {
			return a.passSetpoint(d, bounds, g, place, b, h)
		}
		if a.Side*(place-b.Dish) < -half-math.Abs(b.Dish-b.Motor) {
			a.Side = -a.Side // passed it, or it turned back: come from the other side of the backlash
		}
		demand := a.along(d, bounds, place+a.Side*half, g.Rate, b, h)
		if creeping && a.Side*demand < 0 && a.Side*b.Speed <= a.steady(d) {
			// It stands nearly: no turning round in the backlash for a hair. From beyond
			// its end a profile that is planned again would never come to one: then it
			// is decided again from rest.
			if demand = 0; math.Abs(b.Speed) < 0.1*a.steady(d) && a.Side*(b.Motor-place)-half > astray*bounds.Speed {
				a.enter(settling)
				return 0
			}
		}
		if creeping && a.arrived(place+a.Side*half, g.Rate, minimum, b, bounds) {
			a.enter(settling)
			return 0
		}
		return demand
	}
	if a.Phase == pushing {
		return a.push(d, b, a.leading(g, place)-b.Dish)
	}
	if a.Phase == settling {
		if math.Abs(b.Speed) > 0.1*a.steady(d) || max(math.Abs(b.Duty), math.Abs(b.Input)) > a.Learned.Dead+0.002 {
			return 0
		}
		a.enter(stopped)
	}
	return a.consider(d, g, off, minimum, creeping, b, h)
}

// leading is a place with the way that the axis may lead its target; never beyond a limit.
func (a *Axis) leading(g *Goal, place float64) float64 {
	if place += a.Lead; g.Limited {
		place = max(g.Low, min(g.High, place))
	}
	return place
}

// withinLimits is the goal with a place at the limit, and at rest, where the
// target is beyond it, or where the axis has to brake now so as not to pass it:
// a limit does not move as the target does.
func (a *Axis) withinLimits(bounds Bounds, g *Goal, b *Body) *Goal {
	if !g.Limited {
		return g
	}
	place := max(g.Low, min(g.High, g.Place))
	if p := &a.Profile; a.Phase == moving && g.Rate != 0 {
		switch end := b.Dish + bounds.stop(p.V, p.A); {
		case p.V < 0 && g.Rate < 0 && end <= g.Low:
			place = g.Low
		case p.V > 0 && g.Rate > 0 && end >= g.High:
			place = g.High
		}
	}
	if place == g.Place {
		return g
	}
	held := *g
	held.Place, held.Rate = place, 0
	return &held
}

// arrived reports that the profile has met its target and the axis nearly too.
func (a *Axis) arrived(target, rate, minimum float64, b *Body, bounds Bounds) bool {
	p := &a.Profile
	return math.Abs(p.V-rate) < 1e-3*bounds.Speed && math.Abs(p.A) < 1e-2*bounds.Acceleration &&
		math.Abs(p.P-target) < minimum
}

// consider decides, at rest, whether and how to move.
func (a *Axis) consider(d *Drive, g *Goal, off, minimum float64, creeping bool, b *Body, h float64) float64 {
	trigger := max(g.Tolerance, minimum/2)
	toward := g.Rate != 0 && sign(g.Rate) == sign(off)
	size := math.Abs(off)
	if !toward && a.LastRun != 0 && sign(off) != a.LastRun && g.Rate != 0 {
		// Ahead of a target that is coming: let it come, unless that takes long.
		trigger = max(trigger, min(60*math.Abs(g.Rate), d.Backlash.Rad()/2)+minimum)
	}
	past := d.Approach != 0 && g.Rate == 0 && sign(off) != float64(d.Approach)
	if past {
		trigger = max(trigger, 0.9*g.Count)
	}
	if creeping && size < trigger {
		a.Done = true
		return 0
	}
	way := size
	if toward {
		// It ends as far ahead of the target as it begins behind it.
		way += trigger + math.Abs(g.Rate)*(d.Lag.Seconds()+2*h)
	}
	half := a.Learned.backlash(d) / 2
	side := sign(off)
	if !creeping {
		side = sign(g.Rate)
	}
	gap := max(0, side*(b.Dish+side*half-b.Motor))
	if !a.Learned.HasBacklash {
		gap = min(gap, 2*minimum) // a load may hold the dish to that side of the backlash already: feel for it
	}
	a.Lead = side * (way - size)
	if way+gap > max(12*minimum, 3*g.Tolerance) || !creeping || past {
		return a.start(d, g, side, b, h)
	}
	a.pulse(d, b, side*(way+gap), h)
	return a.push(d, b, a.leading(g, b.Dish+off)-b.Dish)
}

// start begins a profile, by the approach side where the mount asks for one.
func (a *Axis) start(d *Drive, g *Goal, side float64, b *Body, h float64) float64 {
	a.Done = false
	a.begin(b, side)
	a.Detour = d.Approach != 0 && side != float64(d.Approach) && g.Rate == 0
	return a.planGo(d, a.bounds(d, g.Share), g, b, h)
}

// passSetpoint goes past the setpoint against the approach side, and turns round.
func (a *Axis) passSetpoint(d *Drive, bounds Bounds, g *Goal, place float64, b *Body, h float64) float64 {
	half := a.Learned.backlash(d) / 2
	far := place - float64(d.Approach)*(2*half+2*a.minimum(d, h))
	if g.Limited {
		far = max(g.Low, min(g.High, far))
	}
	end := far + a.Side*half
	demand := a.along(d, bounds, end, 0, b, h)
	if p := &a.Profile; a.Phase == stopped || a.Side*p.V <= 0 && a.Side*(p.P-end) > -4*a.minimum(d, h) {
		a.Detour = false
		a.begin(b, float64(d.Approach))
	}
	return demand
}

// steady is the least speed at which the axis turns steadily.
func (a *Axis) steady(d *Drive) float64 {
	return a.Learned.SpeedAt(d, a.minDrive(d))
}

// minDrive is a little above the dead zone.
func (a *Axis) minDrive(d *Drive) float64 {
	if d.Speeds > 0 {
		return 1 / float64(d.Speeds)
	}
	return max(d.MinDrive, a.Learned.Dead+0.02)
}

// least is the travel of the smallest push worth making.
func (a *Axis) minimum(d *Drive, h float64) float64 {
	if d.Speeds == 0 {
		return a.steady(d) * max(h, minPush)
	}
	// The shortest that moves at all at the lowest fixed speed.
	rest := Body{}
	for ticks := 1; ticks <= 12; ticks++ {
		if travel := a.pushed(d, &rest, a.rungDrive(d, 1), ticks, h); travel > 1e-4 {
			return travel
		}
	}
	return a.steady(d) * h
}

// minPush is how long the axis would have to turn at its least steady speed
// for a push, seconds.
const minPush = 0.2

// longest and strongest push.
const (
	longestPush   = 50
	strongestPush = 0.12
)

// pulse lays out a push of that travel: the fewest ticks that give it, and the
// drive for them, by the model.
func (a *Axis) pulse(d *Drive, b *Body, travel, h float64) {
	way := sign(travel)
	if d.Speeds > 0 {
		a.pulseStepped(d, b, travel, h)
		return
	}
	minimum := a.minDrive(d)
	level := max(minimum, strongestPush)
	// The search begins where a drive that obeys at once would be.
	ticks := int(max(1, min(longestPush, math.Floor(math.Abs(travel)/(a.Learned.SpeedAt(d, level)*h)))))
	got := a.pushed(d, b, way*level, ticks, h)
	for ticks < longestPush && got < math.Abs(travel) {
		ticks++
		got = a.pushed(d, b, way*level, ticks, h)
	}
	// Travel grows about as the square of the drive beyond the dead zone.
	for range 4 {
		if got < 1e-9 || math.Abs(got-math.Abs(travel)) < 0.02*math.Abs(travel) {
			break
		}
		level = a.Learned.Dead + (level-a.Learned.Dead)*math.Sqrt(min(1.5, math.Abs(travel)/got))
		level = max(minimum, min(strongestPush+minimum, level))
		got = a.pushed(d, b, way*level, ticks, h)
	}
	a.Ticks, a.Level = ticks, way*level
	a.enter(pushing)
}

// pulseStepped is the number of ticks at the lowest fixed speed whose travel is
// nearest to the one asked for.
func (a *Axis) pulseStepped(d *Drive, b *Body, travel, h float64) {
	level := sign(travel) * a.rungDrive(d, 1)
	best := math.Abs(travel)
	a.Ticks, a.Level = 0, level
	for ticks := 1; ticks <= 12; ticks++ {
		miss := math.Abs(a.pushed(d, b, level, ticks, h) - math.Abs(travel))
		if miss > best && ticks > 1 && a.Ticks > 0 {
			break
		}
		if miss < best {
			best, a.Ticks = miss, ticks
		}
	}
	a.enter(pushing)
}

// pushed is the travel of the motor side that a push gives, by the model.
func (a *Axis) pushed(d *Drive, b *Body, level float64, ticks int, h float64) float64 {
	run := *b
	run.Run(d, &a.Learned, level, float64(ticks)*h)
	// Until it stands: the drive stage takes its time to let go.
	slope := d.Acceleration.Rad() / d.TopSpeed.Rad()
	run.Run(d, &a.Learned, 0, math.Abs(run.Duty)/slope+4*d.Lag.Seconds())
	return (run.Motor - b.Motor) * sign(level)
}

// push asks for the push's drive while it lasts, and ends it early where the
// dish has moved sooner than thought. Off is how far the dish still has to go,
// with what a push may lead.
func (a *Axis) push(d *Drive, b *Body, off float64) float64 {
	if run := *b; a.Ticks > 0 {
		run.Run(d, &a.Learned, 0, 0.5)
		if (off-(run.Dish-b.Dish))*sign(a.Level) <= 0 {
			a.Ticks = 0
		}
	}
	if a.Ticks <= 0 {
		a.enter(settling)
		return 0
	}
	a.Ticks--
	return a.Level
}

// rung is the fixed speed for this tick: the highest from which, cut after it,
// the axis still stops before the target, by the model. Where the operator has
// set a ladder, no speed is used nearer than its rung.
func (a *Axis) rung(d *Drive, b *Body, target, h float64) float64 {
	left := (target - b.Motor) * a.Side
	for k := d.Speeds; k >= 1; k-- {
		if k > 1 && left < d.SpeedSteps[k-1].Rad() {
			continue
		}
		level := a.rungDrive(d, k)
		// A quarter more than the model says: what is missing then is a push, what
		// is too much a turning round.
		if 1.25*a.pushed(d, b, a.Side*level, 1, h) <= left {
			return a.Side * level
		}
	}
	a.Level = 0 // what it coasts now tells nothing of pushes
	if math.Abs(b.Speed) < 0.1*a.steady(d) {
		a.enter(settling)
	}
	return 0
}

// rungDrive is the demand for fixed speed k: a little above its step, so that
// rounding cannot fall below it.
func (a *Axis) rungDrive(d *Drive, k int) float64 {
	return (float64(k) + 0.01) / float64(d.Speeds)
}
