package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
)

// stillAir is the default dish without wind.
func stillAir(seed uint64) plant.Config {
	p := plant.Default()
	p.Seed = seed
	p.Wind.MeanMPS = 0
	return p
}

// reach is what the dish itself can do with azimuth: full drive from rest.
type reach struct{ speed, acceleration, jerk float64 }

// measure finds top speed, acceleration and jerk of the azimuth axis at full
// drive from rest, by the truth. Speeds are means of half a second, the
// acceleration that of a second; jerk is what brings the acceleration up in the
// time that the axis is late by.
func measure(p plant.Config) reach {
	d := newDish(p, step.Default())
	d.powerOn()
	d.full = 10000
	h := d.config.Tick.Seconds()
	var places []float64
	for range 80 {
		d.step()
		places = append(places, d.place(0).Deg())
	}
	speed := func(i int) float64 { return (places[i+2] - places[i-3]) / (5 * h) }
	var r reach
	at := 0
	for i := 3; i < len(places)-2; i++ {
		r.speed = max(r.speed, speed(i))
		// The backlash is taken up with a jerk before.
		if i >= 8 && i < len(places)-7 && speed(i-5) > 0.3 {
			if a := (speed(i+5) - speed(i-5)) / (10 * h); a > r.acceleration {
				r.acceleration, at = a, i
			}
		}
	}
	// The straight line of the greatest acceleration meets speed 0 where a body
	// of unbounded jerk would have begun; half the time that jerk takes is later than the order.
	late := (float64(at)+0.5)*h - speed(at)/r.acceleration
	r.jerk = r.acceleration / (2 * max(late, 0.05))
	return r
}

// bound is the least time for a distance in degrees from rest to rest.
func (r reach) bound(distance float64) float64 {
	v, a, j := r.speed, r.acceleration, r.jerk
	if distance >= v*v/a+v*a/j {
		return distance/v + v/a + a/j
	}
	v = motion.Bounds{Speed: v, Acceleration: a, Jerk: j}.BrakingSpeed(distance / 2)
	if v < a*a/j {
		return 4 * math.Cbrt(distance/2/j)
	}
	return 2 * (v/a + a/j)
}

// slew makes one slew in azimuth and returns the time until the error stays
// within a count for two seconds, how far it passed the place, in degrees,
// and how often the demand turned round.
func slew(p plant.Config, c step.Config, distance float64, chance *rand.Rand) (seconds, past float64, reversals int) {
	from := 20 + 100*chance.Float64()
	side := 1.0
	if chance.IntN(2) == 1 {
		side, from = -1, from+distance
	}
	p.Axes[0].Place = unit.AngleFromDeg(from)
	d := newDish(p, c)
	if !d.powerOn() {
		return math.Inf(1), math.Inf(1), 0
	}
	// It was used before: one slew there and back, as every dish was.
	for _, to := range []float64{from + 3*side, from} {
		d.step(step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(to), El: step.Keep()}, Asked: true})
		for range 120 {
			d.step()
		}
	}
	to := from + distance*side + chance.Float64()*0.1
	d.step(step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(to), El: step.Keep()}, Asked: true})
	began := d.in.Now - d.config.Tick
	count := d.config.Axes[0].Scale.Step.Deg()
	sign := int16(0)
	for end := d.in.Now + step.Nanos((distance/1.5+30)*1e9); d.in.Now < end; {
		d.step()
		off := (d.place(0).Deg() - to) * side
		if math.Abs(off) > count {
			seconds = (d.in.Now - began).Seconds()
		}
		past = max(past, off)
		if demand := d.state.Axes[0].Demand; demand != 0 {
			if sign != 0 && (demand > 0) != (sign > 0) {
				reversals++
			}
			sign = demand
		}
	}
	return seconds, past, reversals
}

func slews(seeds int) int {
	r := measure(stillAir(1))
	fmt.Printf("azimuth of the simulated dish: %.3f degrees/s, %.3f degrees/s2, jerk %.2f degrees/s3\n", r.speed,
		r.acceleration, r.jerk)
	bad := 0
	count := step.Default().Axes[0].Scale.Step.Deg()
	for _, air := range []string{"still air", "gusts of 10 m/s"} {
		for _, distance := range []float64{5, 30, 90, 180} {
			var worst, sum, past float64
			began := time.Now()
			for seed := range seeds {
				p := stillAir(uint64(seed + 1))
				if air != "still air" {
					p.Wind.MeanMPS, p.Wind.Turbulence = 10, 0.2
				}
				seconds, over, _ := slew(p, step.Default(), distance, rand.New(rand.NewPCG(uint64(seed), 7)))
				ratio := seconds / r.bound(distance)
				worst, sum, past = max(worst, ratio), sum+ratio, max(past, over)
			}
			maximum, over := 1.05, count
			if air != "still air" {
				maximum, over = 0, 0
			}
			words, missed := goal(worst, maximum)
			words2, missed2 := goal(past, over)
			bad += missed + missed2
			fmt.Printf("slew %3.0f degrees, %s: time/bound worst %.3f%s mean %.3f, passed by %.3f degrees%s  [%.1f s "+
				"to compute]\n",
				distance, air, worst, words, sum/float64(seeds), past, words2, time.Since(began).Seconds())
		}
	}
	return bad + approached(seeds, r)
}

// approached slews to places that must be come to upwards, from either side:
// the wrong one may take three seconds more.
func approached(seeds int, r reach) int {
	c := step.Default()
	c.Axes[0].Drive.Approach = 1
	const distance = 30
	var worst, past float64
	for seed := range seeds {
		chance := rand.New(rand.NewPCG(uint64(seed), 7))
		seconds, over, _ := slew(stillAir(uint64(seed+1)), c, distance, chance)
		worst, past = max(worst, seconds/(r.bound(distance)+3)), max(past, over)
	}
	words, missed := goal(worst, 1.05)
	fmt.Printf("slew %3.0f degrees, still air, place approached upwards from either side: time/(bound + 3 s) worst "+
		"%.3f%s, passed by %.3f degrees\n", float64(distance), worst, words, past)
	return missed
}

// stepped is a drive of three fixed speeds.
func stepped(seeds int) int {
	bad := 0
	c := step.Default()
	c.Axes[0].Drive.Speeds = 3
	count := c.Axes[0].Scale.Step.Deg()
	for _, distance := range []float64{1, 5, 30} {
		var worst, past float64
		turns := 0
		for seed := range seeds {
			p := stillAir(uint64(seed + 1))
			seconds, over, reversals := slew(p, c, distance, rand.New(rand.NewPCG(uint64(seed), 7)))
			worst, past, turns = max(worst, seconds), max(past, over), max(turns, reversals)
		}
		words, missed := goal(float64(turns), 2)
		words2, missed2 := goal(past, count)
		bad += missed + missed2
		fmt.Printf("stepped drive, %2.0f degrees: settles in %.1f s at worst, passed by %.3f degrees%s, "+
			"reversals %d%s\n", distance, worst, past, words2, turns, words)
	}
	return bad
}
