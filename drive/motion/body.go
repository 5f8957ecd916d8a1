package motion

import "math"

// Body is the axis as the drive model sees it at a moment: the dish on one
// side of the backlash, the motor on the other.
type Body struct {
	// Dish is the place of the axis, Motor that of the motor side in the same
	// angle: the dish is never further from it than half the backlash.
	Dish, Motor float64
	// Speed of the motor side, a second.
	Speed float64
	// Applied is the drive that the enclosure gives, Input what of it the drive
	// stage has taken in after its lag, and Duty what it has made of that by its
	// own slope, -1 to 1.
	Applied, Input, Duty float64
}

// modelStep is the longest step of the model, seconds.
const modelStep = 0.02

// Run moves the body for that many seconds under a demand.
func (b *Body) Run(d *Drive, l *Learned, demand, seconds float64) {
	steps := math.Ceil(seconds / modelStep)
	if !(steps > 0) {
		return
	}
	steps = min(steps, 200)
	h := seconds / steps
	ramp := math.Inf(1)
	if d.Ramp > 0 {
		ramp = h / d.Ramp.Seconds()
	}
	slope := d.Acceleration.Rad() / d.TopSpeed.Rad() * h
	follow := h / (h + d.Lag.Seconds())
	half := l.backlash(d) / 2
	applied := d.AppliedFor(demand)
	for range int(steps) {
		b.Applied += max(-ramp, min(ramp, applied-b.Applied))
		b.Input += (b.Applied - b.Input) * follow
		b.Duty += max(-slope, min(slope, b.Input-b.Duty))
		before := b.Speed
		b.Speed = l.SpeedAt(d, b.Duty)
		b.Motor += (before + b.Speed) / 2 * h
		b.Dish = max(b.Motor-half, min(b.Motor+half, b.Dish))
	}
}

// AppliedFor is the drive that the enclosure makes of a demand.
func (d *Drive) AppliedFor(demand float64) float64 {
	if d.Speeds == 0 {
		return demand
	}
	k := math.Floor(math.Abs(demand)*float64(d.Speeds) + 1e-9)
	return math.Copysign(k/float64(d.Speeds), demand)
}

// SpeedAt is the steady speed at an applied drive: proportional to it above
// the dead zone of the drive, none within.
func (l *Learned) SpeedAt(d *Drive, applied float64) float64 {
	size := math.Abs(applied)
	if size <= l.Dead {
		return 0
	}
	if d.Speeds > 0 && d.SpeedOf[0] > 0 {
		return math.Copysign(l.gain()*d.stepped(size), applied)
	}
	return math.Copysign(l.gain()*d.TopSpeed.Rad()*(size-l.Dead)/(1-l.Dead), applied)
}

// stepped is the speed of a drive with fixed speeds at a part of full drive:
// between two of them, as while it ramps, in proportion.
func (d *Drive) stepped(size float64) float64 {
	x := min(size, 1) * float64(d.Speeds)
	k := int(x)
	low, high := 0.0, d.SpeedOf[min(k, d.Speeds-1)].Rad()
	if k > 0 {
		low = d.SpeedOf[k-1].Rad()
	}
	return low + (high-low)*(x-float64(k))
}

// DriveFor is the inverse of SpeedAt.
func (l *Learned) DriveFor(d *Drive, speed float64) float64 {
	top := l.gain() * d.TopSpeed.Rad()
	part := min(1, math.Abs(speed)/top)
	if part == 0 {
		return 0
	}
	return math.Copysign(l.Dead+part*(1-l.Dead), speed)
}

// backlash is the backlash to reckon with.
func (l *Learned) backlash(d *Drive) float64 {
	if l.HasBacklash {
		return l.Backlash.Rad()
	}
	return d.Backlash.Rad()
}

func (l *Learned) gain() float64 {
	if l.Gain == 0 {
		return 1
	}
	return l.Gain
}

// within holds the dish in the interval that the count allows. A dish that is
// found elsewhere without drive has moved in the backlash; the rest moves the motor side too.
func (b *Body) within(low, high, backlash float64) {
	by := max(low-b.Dish, 0) + min(high-b.Dish, 0)
	if by == 0 {
		return
	}
	b.push(by, backlash)
}

// push moves the dish, as far as the backlash allows alone.
func (b *Body) push(by, backlash float64) {
	b.Dish += by
	half := backlash / 2
	b.Motor = max(b.Dish-half, min(b.Dish+half, b.Motor))
}
