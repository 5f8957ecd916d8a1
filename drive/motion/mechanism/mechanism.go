// Package mechanism is a small stand-in for one axis of a dish, for the tests
// of motion and steps: a drive with a ramp, a motor with lag, friction and
// backlash, and an encoder with uneven edges. It is not the practice dish.
package mechanism

import "math"

// Axis is one axis. Angles are in radians, times in seconds.
type Axis struct {
	TopSpeed, Acceleration, Lag, Ramp float64
	// Sliding and Sticking are the drives that friction takes, moving and at rest.
	Sliding, Sticking float64
	Backlash          float64
	// Load holds the dish to a side of the backlash: +1 the upper, -1 the lower, 0 neither.
	Load float64
	Step float64
	// Uneven shifts the edges of count modulo 4 by that part of a count.
	Uneven [4]float64
	// Locked holds the motor fast; Loose lets it turn without the dish; Reverse turns it the wrong way.
	Locked, Loose, Reverse bool

	// Dead takes the drive off at once and brakes the motor, as without power.
	Dead bool

	Now                float64
	Dish, Motor, Speed float64
	// Applied follows Demand by the enclosure's ramp, Duty follows Applied by
	// the drive's own slope and lag.
	Demand, Applied, Duty float64

	asked     float64
	Counts    int32
	LastCount float64 // when
	Upward    bool
	started   bool
}

// Default is the axis that step.Default describes.
func Default() Axis {
	const degree = math.Pi / 180
	return Axis{
		TopSpeed: 1.5 * degree, Acceleration: 0.52 * degree, Lag: 0.12, Ramp: 1, Sliding: 0.015, Sticking: 0.025,
		Backlash: 0.15 * degree, Step: 2 * math.Pi / 4096, Uneven: [4]float64{0, 0.12, -0.15, 0.08}, LastCount: -1e3,
	}
}

// Run lets time pass.
func (a *Axis) Run(seconds float64) {
	const h = 0.002
	if !a.started {
		a.started = true
		a.Counts = a.count()
	}
	for n := math.Round(seconds / h); n > 0; n-- {
		a.tick(h)
	}
}

func (a *Axis) tick(h float64) {
	slope := math.Inf(1)
	if a.Ramp > 0 {
		slope = h / a.Ramp
	}
	a.Applied += max(-slope, min(slope, a.Demand-a.Applied))
	slope = a.Acceleration / a.TopSpeed * h
	a.asked += max(-slope, min(slope, a.Applied-a.asked))
	a.Duty += (a.asked - a.Duty) * h / (a.Lag + h)
	if a.Dead {
		a.asked, a.Duty = 0, 0
	}
	friction := a.Sliding
	if a.Speed == 0 {
		friction = a.Sticking
	}
	target := 0.0
	if size := math.Abs(a.Duty); size > friction && !a.Locked {
		target = math.Copysign((size-a.Sliding)/(1-a.Sliding)*a.TopSpeed, a.Duty)
	}
	if a.Reverse {
		target = -target
	}
	a.Speed += (target - a.Speed) * h / (0.03 + h)
	if target == 0 && math.Abs(a.Speed) < 0.001*a.TopSpeed {
		a.Speed = 0
	}
	a.Motor += a.Speed * h
	a.Now += h
	half := a.Backlash / 2
	if !a.Loose {
		a.Dish = max(a.Motor-half, min(a.Motor+half, a.Dish))
	}
	if a.Load != 0 {
		edge := a.Motor + a.Load*half
		a.Dish += max(-0.1*h, min(0.1*h, edge-a.Dish)) // it slides over, faster than the motor goes
	}
	for n := a.count(); n != a.Counts; {
		a.Upward = n > a.Counts
		if a.Upward {
			a.Counts++
		} else {
			a.Counts--
		}
		a.LastCount = a.Now
	}
}

// Edge is the angle of the edge below a count.
func (a *Axis) Edge(count int32) float64 {
	return (float64(count) + a.Uneven[uint32(count)%4]) * a.Step
}

func (a *Axis) count() int32 {
	n := int32(math.Floor(a.Dish / a.Step))
	for a.Dish < a.Edge(n) {
		n--
	}
	for a.Dish >= a.Edge(n+1) {
		n++
	}
	return n
}
