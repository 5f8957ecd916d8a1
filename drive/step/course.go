package step

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// Knot is where the axes should be at a moment. Rates are radians a second.
type Knot struct {
	At             Nanos
	Axes           mount.AxisAngles
	AzRate, ElRate float64
}

// MaxKnots is the number of knots of a course.
const MaxKnots = 16

// Course is the next minute of axis angles: cubic Hermite between its knots.
// Before the first and after the last knot it says nothing; a follower comes to rest.
type Course struct {
	Knots [MaxKnots]Knot
	Count int
}

// Valid reports whether the course can be followed: knots in order of time and
// every figure finite.
func (c *Course) Valid() bool {
	if c.Count < 2 || c.Count > MaxKnots {
		return false
	}
	for i := range c.Count {
		k := &c.Knots[i]
		sum := k.Axes.Az.Rad() + k.Axes.El.Rad() + k.AzRate + k.ElRate
		if math.IsNaN(sum) || math.IsInf(sum, 0) || i > 0 && k.At <= c.Knots[i-1].At {
			return false
		}
	}
	return true
}

// End is the moment at which the course runs out; 0 for an empty one.
func (c *Course) End() Nanos {
	if c.Count < 1 || c.Count > MaxKnots {
		return 0
	}
	return c.Knots[c.Count-1].At
}

// At returns angle, rate and acceleration of an axis at a moment, and whether
// the course covers it.
func (c *Course) At(t Nanos, axis int) (angle unit.Angle, rate, acceleration float64, ok bool) {
	if c.Count < 2 || c.Count > MaxKnots || t < c.Knots[0].At || t > c.Knots[c.Count-1].At {
		return 0, 0, 0, false
	}
	i := 1
	for i < c.Count-1 && t > c.Knots[i].At {
		i++
	}
	a, b := &c.Knots[i-1], &c.Knots[i]
	h := (b.At - a.At).Seconds()
	s := (t - a.At).Seconds() / h
	p0, v0, p1, v1 := a.Axes.Az.Rad(), a.AzRate*h, b.Axes.Az.Rad(), b.AzRate*h
	if axis == Elevation {
		p0, v0, p1, v1 = a.Axes.El.Rad(), a.ElRate*h, b.Axes.El.Rad(), b.ElRate*h
	}
	// p(s) = p0 + v0 s + c2 s^2 + c3 s^3
	c2 := 3*(p1-p0) - 2*v0 - v1
	c3 := 2*(p0-p1) + v0 + v1
	return unit.Angle(p0 + s*(v0+s*(c2+s*c3))), (v0 + s*(2*c2+s*3*c3)) / h, (2*c2 + 6*c3*s) / (h * h), true
}

// clockJump is the leap of a course that a clock which was set may make while it
// is followed: the sky turns so far in four minutes.
var clockJump = unit.AngleFromDeg(1)

// follow takes in a new course. One that leaps because the computer's clock was
// set is not followed without a fresh order.
func (s *State) follow(c *Config, in *Inputs) {
	if !in.NewCourse {
		return
	}
	if !in.Course.Valid() {
		s.say(in, NoSuchNumber)
		return
	}
	leap := s.leap(c, in)
	s.Course = in.Course
	announced := s.Mode == Warning && s.Pending == Following
	if (s.Mode == Following || announced) && leap > clockJump && s.Guard.Stands(guard.ClockStepped) {
		s.note(in, CourseJumped, guard.None, guard.NoAxis, leap.Deg())
		s.enter(Halting, in)
	}
}

// leap is how far the new course is from the one before, on the axis on which
// it is more, at this moment.
func (s *State) leap(c *Config, in *Inputs) (maximum unit.Angle) {
	for i := range s.Axes {
		before, _, _, had := s.Course.At(in.Now, i)
		after, _, _, has := in.Course.At(in.Now, i)
		if c.Axes[i].Fitted && had && has {
			maximum = max(maximum, unit.Angle(math.Abs((after - before).Rad())))
		}
	}
	return maximum
}
