package motion

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/motion/mechanism"
	"beamhelm/drive/mount"
)

const degree = math.Pi / 180

// rig runs an Axis against a mechanism at ten ticks a second, each snapshot 20
// ms after its tick.
type rig struct {
	drive     Drive
	scale     mount.Scale
	zero      mount.Zero
	axis      Axis
	mechanism mechanism.Axis
	now       time.Duration
	tick      time.Duration
}

func newRig(start, load float64) *rig {
	r := &rig{drive: DefaultDrive(), mechanism: mechanism.Default(), tick: 100 * time.Millisecond}
	r.axis.Learned = r.drive.Fresh()
	r.scale = mount.Scale{Step: unit.Angle(r.mechanism.Step), Direction: 1}
	r.mechanism.Dish, r.mechanism.Motor, r.mechanism.Load = start, start, load
	r.mechanism.Run(2)
	r.look(20 * time.Millisecond)
	r.now = r.tick
	r.mechanism.Run(0.08)
	return r
}

func (r *rig) look(at time.Duration) {
	m := &r.mechanism
	since := m.Now - m.LastCount
	s := AxisSample{Counts: m.Counts, Upward: m.Upward, Since: time.Duration(since*1000) * time.Millisecond,
		KnownSince: since < 65, At: at, Applied: m.Applied}
	if !r.axis.Have {
		r.axis.Relocate(r.scale, r.zero, s)
		return
	}
	r.axis.Observe(&r.drive, r.scale, r.zero, s)
}

// step makes one tick towards a goal that is worked out for the moment of effect.
func (r *rig) step(goal func(effect float64) Goal) {
	const latency = 20 * time.Millisecond
	effect := r.now + latency
	demand := r.axis.Demand(&r.drive, goal(effect.Seconds()), effect, r.tick)
	r.mechanism.Run(latency.Seconds())
	r.mechanism.Demand = r.drive.AppliedFor(demand)
	r.look(effect)
	r.mechanism.Run((r.tick - latency).Seconds())
	r.now += r.tick
}

func TestSlewArrivesAndStays(t *testing.T) {
	for _, distance := range []float64{0.3, 1, 5, 30, 90, -30} {
		for _, load := range []float64{0, 1, -1} {
			r := newRig(0.01, load)
			place := 0.01 + distance*degree
			goal := func(float64) Goal { return Goal{Kind: Go, Place: place, Tolerance: 0.3 * r.mechanism.Step} }
			late, past := 0.0, 0.0
			for r.now < 120*time.Second {
				r.step(goal)
				off := r.mechanism.Dish - place
				if math.Abs(off) > r.mechanism.Step {
					late = r.now.Seconds()
				}
				past = max(past, off*math.Copysign(1, distance))
			}
			bound := shortest(math.Abs(distance)*degree, r.drive).Seconds()
			t.Logf("%6.1f degrees, load %+.0f: %6.2f s, bound %6.2f, past %.3f, ends %.3f off", distance, load, late,
				bound, past/degree, (r.mechanism.Dish-place)/degree)
			if past > r.mechanism.Step {
				t.Errorf("%v degrees, load %v: past by %v degrees", distance, load, past/degree)
			}
			if late > 1.05*bound+0.15 {
				t.Errorf("%v degrees, load %v: settled after %.2f s, bound %.2f", distance, load, late, bound)
			}
		}
	}
}

// shortest is the least time for a distance at the drive's top speed,
// acceleration and jerk, from rest to rest.
func shortest(distance float64, d Drive) time.Duration {
	v, a, j := d.TopSpeed.Rad(), d.Acceleration.Rad(), d.Jerk.Rad()
	seconds := distance/v + v/a + a/j
	if distance < v*v/a+v*a/j {
		b := Bounds{v, a, j}
		v = b.BrakingSpeed(distance / 2)
		seconds = 2 * (v/a + a/j)
		if v < a*a/j {
			seconds = 4 * math.Cbrt(distance/2/j)
		}
	}
	return time.Duration(seconds * 1e9)
}

func TestFollowsTheMoon(t *testing.T) {
	for _, rate := range []float64{0.004, 0.0015, -0.003, 0.012, 0.05} {
		for _, load := range []float64{0, 1, -1} {
			r := newRig(0.5-20*degree, load)
			goal := func(at float64) Goal {
				return Goal{Kind: Go, Place: 0.5 + rate*degree*at, Rate: rate * degree}
			}
			var sum, square, worst float64
			n := 0
			starts, was := 0, 0.0
			for r.now < 900*time.Second {
				r.step(goal)
				if r.now < 100*time.Second {
					continue
				}
				if d := r.axis.Demanded(); d != 0 && was == 0 {
					starts++
				}
				was = r.axis.Demanded()
				off := (r.mechanism.Dish - (0.5 + rate*degree*r.now.Seconds())) / degree
				sum += off
				square += off * off
				worst = max(worst, math.Abs(off))
				n++
			}
			if rms := math.Sqrt(square / float64(n)); rms > 0.015 || math.Abs(sum)/float64(n) > 0.005 || worst > 0.045 {
				t.Errorf("%v degrees/s, load %v: rms %.4f, mean %.4f, worst %.4f degrees", rate, load, rms,
					sum/float64(n), worst)
			}
			t.Logf("%7.4f degrees/s load %+.0f: rms %.4f mean %+.4f worst %.4f, %d starts an hour, dead %.4f gain %.3f",
				rate, load, math.Sqrt(square/float64(n)), sum/float64(n), worst, starts*36/8, r.axis.Learned.Dead,
				r.axis.Learned.gain())
		}
	}
}

// A mount that must be approached upwards comes to its place upwards from
// either side; the detour costs three seconds more, and the turning round in the backlash.
func TestApproachSide(t *testing.T) {
	for _, distance := range []float64{-20, 20, -3} {
		r := newRig(0.5, 0)
		r.drive.Approach = 1
		place := 0.5 + distance*degree
		goal := func(float64) Goal {
			return Goal{Kind: Go, Place: place, Tolerance: 0.3 * r.mechanism.Step, Count: r.mechanism.Step}
		}
		late, lastUp := 0.0, false
		before := r.mechanism.Motor
		for r.now < 60*time.Second {
			r.step(goal)
			if moved := r.mechanism.Motor - before; math.Abs(moved) > 0.01*degree {
				lastUp, before = moved > 0, r.mechanism.Motor
			}
			if math.Abs(r.mechanism.Dish-place) > r.mechanism.Step {
				late = r.now.Seconds()
			}
		}
		bound := shortest(math.Abs(distance)*degree, r.drive).Seconds()
		t.Logf("%v degrees: settled after %.2f s, bound %.2f", distance, late, bound)
		if !lastUp {
			t.Errorf("%v degrees: came to its place downwards", distance)
		}
		if late > 1.05*bound+3.5 {
			t.Errorf("%v degrees: settled after %.2f s, bound %.2f", distance, late, bound)
		}
	}
}

// The set speeds of a stepped drive are those of the model at each step, and in proportion between.
func TestSteppedSpeeds(t *testing.T) {
	d := DefaultDrive()
	d.Speeds = 3
	d.SpeedOf = [MaxSpeeds]unit.Angle{unit.Angle(0.1 * degree), unit.Angle(0.6 * degree), unit.Angle(1.5 * degree)}
	l := Learned{Gain: 1}
	for _, c := range [][2]float64{{0, 0}, {1.0 / 6, 0.05}, {1.0 / 3, 0.1}, {0.5, 0.35}, {2.0 / 3, 0.6}, {1, 1.5},
		{-1, -1.5}} {
		if got := l.SpeedAt(&d, c[0]) / degree; math.Abs(got-c[1]) > 1e-9 {
			t.Errorf("at %v: %v degrees a second, want %v", c[0], got, c[1])
		}
	}
	for _, c := range [][2]float64{{0.34, 1.0 / 3}, {0.66, 1.0 / 3}, {0.67, 2.0 / 3}, {-1, -1}, {0.1, 0}} {
		if got := d.AppliedFor(c[0]); math.Abs(got-c[1]) > 1e-9 {
			t.Errorf("a demand of %v gives %v, want %v", c[0], got, c[1])
		}
	}
}

// A profile whose motor side has run past its end, while the dish still lies in
// the backlash, ends and is decided again: it must not stay "moving".
func TestPastItsEndItComesToOne(t *testing.T) {
	for _, past := range []float64{0.05, 0.1, 0.13, 0.2, 0.3} {
		for _, backlash := range []float64{0, 0.1, 0.2, 0.4} {
			r := newRig(0.5, 0)
			a := &r.axis
			place := 0.5 - past*degree
			a.Learned.Backlash, a.Learned.HasBacklash = unit.Angle(backlash*degree), true
			a.begin(&a.Body, 1)
			a.Body.Motor += backlash / 2 * degree
			a.Profile = Profile{P: place}
			for r.now < 30*time.Second {
				r.step(func(float64) Goal { return Goal{Kind: Go, Place: place, Tolerance: 0.3 * r.mechanism.Step} })
			}
			if !a.Settled() || math.Abs(r.mechanism.Dish-place) > r.mechanism.Step {
				t.Errorf("%.2f degrees past, backlash %.1f: settled %v, phase %d, %.3f off", past, backlash,
					a.Settled(), a.Phase, (r.mechanism.Dish-place)/degree)
			}
		}
	}
}

// Friction brings the motor to rest in a finite time once the drive is below
// what it takes, and nothing moves before the drive is above that.
func TestModelComesToRest(t *testing.T) {
	d, l := DefaultDrive(), DefaultDrive().Fresh()
	var b Body
	b.Run(&d, &l, 0.9*l.Dead, 2)
	if b.Speed != 0 || b.Motor != 0 {
		t.Errorf("below the dead zone: %v rad/s, gone %v rad", b.Speed, b.Motor)
	}
	b = Body{}
	b.Run(&d, &l, 0.08, 0.2)
	// From 0.08 the drive stage's input falls to 0.015 in 1.7 time constants, 0.25 s.
	if b.Run(&d, &l, 0, 0.3); b.Speed != 0 || b.Motor <= 0 {
		t.Errorf("0.3 s after a push: %v rad/s, gone %v rad", b.Speed, b.Motor)
	}
}
