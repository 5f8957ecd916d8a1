package motion

import "math"

// Bounds are what a profile may ask for: speed, acceleration and jerk of the
// axis, all positive, radians and seconds.
type Bounds struct{ Speed, Acceleration, Jerk float64 }

// Profile is a point that moves within bounds: place, speed and acceleration.
type Profile struct{ P, V, A float64 }

// stopping is the distance from speed w >= 0 at acceleration a to rest, and
// whether rest can be reached without running back first.
func (b Bounds) stopping(w, a float64) float64 {
	if a >= 0 {
		t := a / b.Jerk
		lead := w*t + a*t*t/3 // the integral of w + a t - j t^2/2
		return lead + b.fromSteady(w+a*t/2)
	}
	t := -a / b.Jerk
	if w0 := w - a*t/2; w > -a*t/2 {
		// As if the braking had begun t ago at speed w0.
		return b.fromSteady(w0) - (w0*t - b.Jerk*t*t*t/6)
	}
	// It brakes too hard already: easing off leaves it running back a little.
	return w*t + a*t*t/3
}

// fromSteady is the stopping distance from a steady speed w >= 0.
func (b Bounds) fromSteady(w float64) float64 {
	if w >= b.Acceleration*b.Acceleration/b.Jerk {
		return w*w/(2*b.Acceleration) + w*b.Acceleration/(2*b.Jerk)
	}
	return w * math.Sqrt(max(0, w)/b.Jerk)
}

// stop is the signed distance to rest from relative speed w and acceleration a.
func (b Bounds) stop(w, a float64) float64 {
	if w < 0 || w == 0 && a < 0 {
		return -b.stopping(-w, -a)
	}
	return b.stopping(w, a)
}

// BrakingSpeed is the greatest speed from which the distance d >= 0 is enough to stop.
func (b Bounds) BrakingSpeed(d float64) float64 {
	knee := b.Acceleration * b.Acceleration / b.Jerk
	if w := math.Cbrt(d * d * b.Jerk); w <= knee {
		return w
	}
	return (-knee + math.Sqrt(knee*knee+8*b.Acceleration*d)) / 2
}

// levels are the parts of the full change of acceleration that are tried, best first.
var levels = [...]float64{1, 0.5, 0, -0.5, -1}

// Advance moves the profile by h seconds towards a target at place target that
// moves with the given rate: as soon as possible, and without passing it.
func (p *Profile) Advance(b Bounds, target, rate, h float64) {
	w := p.V - rate
	change := b.Jerk * h
	if math.Abs(target-p.P) < change*h && math.Abs(w) < change && math.Abs(p.A) < 3*change {
		*p = Profile{target + rate*h, rate, 0}
		return
	}
	sign := 1.0
	if target < p.P {
		sign = -1
	}
	a, minimum := max(-b.Acceleration, sign*p.A-change), math.Inf(1)
	for _, level := range levels {
		next := max(-b.Acceleration, min(b.Acceleration, sign*p.A+level*change))
		past := p.past(b, sign, next, target, rate, h)
		if past < minimum {
			a, minimum = next, past
		}
		if past <= 0 {
			break
		}
	}
	a *= sign
	p.P += p.V*h + (p.A+a)/4*h*h
	p.V += (p.A + a) / 2 * h
	p.A = a
}

// past is how far the target would be passed, at best, after h seconds in which
// the acceleration goes to a, all in the direction sign; infinite where the
// speed would leave its bound.
func (p *Profile) past(b Bounds, sign, a, target, rate, h float64) float64 {
	a0 := sign * p.A
	v := sign*p.V + (a0+a)/2*h
	if a > 0 {
		if v+a*a/(2*b.Jerk) > b.Speed {
			return math.Inf(1)
		}
	}
	left := sign*(target+rate*h-p.P) - (sign*p.V*h + (a0+a)/4*h*h)
	return b.stop(v-sign*rate, a) - left
}
