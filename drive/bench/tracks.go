package main

import (
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
)

// moon is a target that goes as the Moon does at 55 degrees north, at a
// declination of 15 degrees, from that hour angle, degrees, at moment 0.
func moon(hourAngle float64) func(at step.Nanos) (az, el float64) {
	const lat, dec = 55 * math.Pi / 180, 15 * math.Pi / 180
	return func(at step.Nanos) (az, el float64) {
		h := (hourAngle + 14.49*at.Hours()) * math.Pi / 180
		sinEl := math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos(h)
		az = math.Atan2(-math.Cos(dec)*math.Sin(h), math.Sin(dec)*math.Cos(lat)-math.Cos(dec)*math.Sin(lat)*math.Cos(h))
		return unit.Angle(az).Mod1().Deg(), math.Asin(sinEl) * 180 / math.Pi
	}
}

// The hour angles at which a track begins: 4 h before the Moon is highest, and 2 h 40 min after it.
const rising, setting = -60, 40

type figures struct {
	rms, p99, mean, worst, starts, outside float64
	lost                                   bool // it did not follow to the end
	learned                                motion.Learned
}

func (f figures) String() string {
	return fmt.Sprintf("rms %.4f p99 %.4f mean %+.4f worst %.4f, %.0f starts/h", f.rms, f.p99, f.mean, f.worst,
		f.starts)
}

// insight is the truth, told to a drive in place of its own estimate: as it is,
// or but for how far the teeth give way. The drives are known as learned.
type insight struct {
	stiff   bool
	learned [2]figures
}

// track follows the Moon for that many minutes and gives the true error of each axis.
// In periods, motion is kept to every other minute unless an axis is off by
// more than three times its tolerance. With an insight, that is put in place of
// the estimate.
func track(row *tracking, minutes float64, told *insight) [2]figures {
	c, periods := row.config, row.periods
	target := moon(rising)
	if row.setting {
		target = moon(setting)
	}
	d := row.dish(target, told)
	if !d.powerOn() {
		return [2]figures{}
	}
	var errors [2][]float64
	var starts, outside [2]float64
	var driven [2]bool
	settle := d.in.Now + 60e9
	end := settle + step.Nanos(minutes*60e9)
	for k := 0; d.in.Now < end; k++ {
		var commands []step.Command
		if k%10 == 0 {
			d.follow(target)
		}
		if k == 0 {
			commands = append(commands, step.Follow{Asked: true})
		}
		quiet := periods && d.in.Now > settle && int(d.in.Now.Minutes())%2 == 1
		if periods {
			three := mount.AxisAngles{Az: 3 * c.Axes[0].Tolerance, El: 3 * c.Axes[1].Tolerance}
			commands = append(commands, step.Quiet{On: quiet, Axes: three})
		}
		d.step(commands...)
		a, e := target(d.in.Now)
		for i, want := range [...]float64{a, e} {
			now := d.state.Axes[i].Demand != 0
			if d.in.Now > settle {
				off := math.Remainder(d.place(i).Deg()-want, 360)
				errors[i] = append(errors[i], off)
				if now && !driven[i] {
					starts[i]++
					if quiet {
						outside[i]++
					}
				}
			}
			driven[i] = now
		}
	}
	if d.state.Mode != step.Following {
		fmt.Printf("  no longer following: %v, cause %v\n", d.state.Mode, d.state.Lock.Cause)
	}
	lost := d.state.Mode != step.Following
	var out [2]figures
	for i := range out {
		out[i] = figuresOf(errors[i])
		out[i].starts, out[i].outside, out[i].lost = starts[i]/minutes*60, outside[i], lost
		out[i].learned = d.state.Axes[i].Motion.Learned
	}
	return out
}

// dish is the row's, 20 degrees of azimuth and 8 of elevation before its target.
func (row *tracking) dish(target func(step.Nanos) (az, el float64), told *insight) *dish {
	p := row.plant
	az, el := target(0)
	p.Axes[0].Place, p.Axes[1].Place = unit.AngleFromDeg(az-20), unit.AngleFromDeg(el-8)
	d := newDish(p, row.config)
	d.blind, d.spoil = row.blind, row.spoil
	if d.cheat = told != nil; d.cheat {
		d.stiff = told.stiff
		for i := range told.learned {
			d.state.Axes[i].Motion.Learned = told.learned[i].learned
		}
	}
	return d
}

// figuresOf are the figures of errors in degrees.
func figuresOf(errors []float64) (f figures) {
	n := float64(len(errors))
	sizes := make([]float64, 0, len(errors))
	for _, e := range errors {
		f.mean += e / n
		f.rms += e * e / n
		sizes = append(sizes, math.Abs(e))
	}
	slices.Sort(sizes)
	f.rms, f.p99, f.worst = math.Sqrt(f.rms), sizes[int(0.99*n)], sizes[len(sizes)-1]
	return f
}

// tracking is one way to follow the Moon, and what is asked of it; goals of 0 are none.
type tracking struct {
	name                   string
	plant                  plant.Config
	config                 step.Config
	rms, p99, mean, starts float64
	// floor is the most of what the same drive does with the truth in place of
	// its estimate, in rms; below 0: printed, no goal.
	floor   float64
	periods bool // motion in every other minute only
	setting bool // in the west, else in the east
	blind   bool // no sensor of motor current
	// spoil changes what the enclosure answers; nil: nothing.
	spoil func(m *enclosure.Motion)
}

// air is the default dish in a wind.
func air(speed, turbulence, from float64) plant.Config {
	p := stillAir(3)
	p.Wind.MeanMPS, p.Wind.Turbulence, p.Wind.Direction = speed, turbulence, unit.AngleFromDeg(from)
	return p
}

// tightest leaves no tolerance.
func tightest() step.Config {
	c := step.Default()
	for i := range c.Axes {
		c.Axes[i].Tolerance = 0
	}
	return c
}

// fine has counts of 0.01 degree, and no backlash or, on the motor's shaft,
// one that is not seen.
func fine(p plant.Config, onMotor bool) (plant.Config, step.Config) {
	c := tightest()
	for i := range c.Axes {
		c.Axes[i].Scale.Step, c.Axes[i].Drive.Backlash = unit.AngleFromDeg(0.01), 0
		e := &p.Axes[i].Encoder
		e.Pulses, e.Ratio, e.OnMotor = 9000, 1, onMotor
		if !onMotor {
			p.Axes[i].Backlash = 0
		}
	}
	return p, c
}

func trackings() []tracking {
	tight, wide := tightest(), step.Default()
	for i := range wide.Axes {
		// A beam of 2.9 degrees (5.6 m at 1296 MHz): 0.065 of it.
		wide.Axes[i].Tolerance = unit.AngleFromDeg(0.19)
	}
	calm, gusts := air(0, 0, 0), air(12, 0.25, 0)
	fineCalm, fineTight := fine(calm, false)
	fineGusts, _ := fine(gusts, false)
	shaftCalm, shaftTight := fine(calm, true)
	shaftGusts, _ := fine(gusts, true)
	return []tracking{
		{name: "still air, tightest", plant: calm, config: tight, rms: 0.015, p99: 0.035, mean: 0.005},
		{name: "wind on one flank, tightest", plant: air(12, 0.1, 0), config: tight, rms: 0.025, p99: 0.06,
			mean: 0.005},
		{name: "the Moon setting, still air, tightest", plant: calm, config: tight, setting: true, rms: 0.015,
			p99: 0.035, mean: 0.005},
		{name: "the Moon setting, wind on one flank, tightest", plant: air(12, 0.1, 0), config: tight, setting: true,
			rms: 0.025, p99: 0.06, mean: 0.005},
		{name: "wind in which the dish floats in its backlash, tightest", plant: air(8, 0.1, 60), config: tight,
			floor: -1},
		{name: "gusts that change flanks, tightest", plant: gusts, config: tight, floor: 1.3},
		{name: "the Moon setting, gusts that change flanks, tightest", plant: gusts, config: tight, setting: true,
			floor: 1.3},
		{name: "gusts, without a sensor of motor current", plant: gusts, config: tight, blind: true},
		{name: "counts of 0.01 degree, no backlash, still air", plant: fineCalm, config: fineTight, rms: 0.008},
		{name: "counts of 0.01 degree, no backlash, gusts", plant: fineGusts, config: fineTight, floor: 1.2},
		{name: "counts of 0.01 degree on the motor shaft, still air", plant: shaftCalm, config: shaftTight},
		{name: "counts of 0.01 degree on the motor shaft, gusts", plant: shaftGusts, config: shaftTight},
		{name: "still air, default tolerance at 1296 MHz", plant: calm, config: wide, starts: 60},
		{name: "still air, the same, motion in our periods only", plant: calm, config: wide, starts: 60, periods: true},
	}
}

func tracks(minutes float64) int {
	bad := 0
	for _, row := range trackings() {
		got := track(&row, minutes, nil)
		var floor, stiff [2]figures
		if row.floor != 0 {
			floor = track(&row, minutes, &insight{learned: got})
			stiff = track(&row, minutes, &insight{learned: got, stiff: true})
		}
		for i, f := range got {
			words := ""
			for _, g := range []struct{ v, maximum float64 }{{f.rms, row.rms}, {f.p99, row.p99},
				{math.Abs(f.mean), row.mean}, {f.starts, row.starts}} {
				w, missed := goal(g.v, g.maximum)
				words, bad = words+w, bad+missed
			}
			if row.periods {
				words += fmt.Sprintf(" outside them %.0f", f.outside)
				if f.outside > 0 {
					words, bad = words+" MISSED", bad+1
				}
			}
			name := [...]string{"azimuth", "elevation"}[i]
			fmt.Printf("track, %s, %s: %v%s\n", row.name, name, f, words)
			if row.floor != 0 {
				w, missed := goal(f.rms/floor[i].rms, max(0, row.floor))
				bad += missed
				fmt.Printf("  truth in place of the estimate: %v; this is %.2f times that%s\n", floor[i],
					f.rms/floor[i].rms, w)
				fmt.Printf("  all of it but how far the teeth give way: rms %.4f, %.2f times\n", stiff[i].rms,
					stiff[i].rms/floor[i].rms)
			}
		}
	}
	return bad
}
