package main

import (
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"

	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
)

// moon is a target that goes as the Moon does at 55 degrees north, at a
// declination of 15 degrees, hour angle -4 h at moment 0.
func moon(at step.Nanos) (az, el float64) {
	const lat, dec = 55 * math.Pi / 180, 15 * math.Pi / 180
	h := (-60 + 14.49*at.Hours()) * math.Pi / 180
	sinEl := math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos(h)
	az = math.Atan2(-math.Cos(dec)*math.Sin(h), math.Sin(dec)*math.Cos(lat)-math.Cos(dec)*math.Sin(lat)*math.Cos(h))
	return unit.Angle(az).Mod1().Deg(), math.Asin(sinEl) * 180 / math.Pi
}

type figures struct {
	rms, p99, mean, worst, starts, outside float64
	lost                                   bool // it did not follow to the end
}

func (f figures) String() string {
	return fmt.Sprintf("rms %.4f p99 %.4f mean %+.4f worst %.4f, %.0f starts/h", f.rms, f.p99, f.mean, f.worst, f.starts)
}

// track follows the Moon for that many minutes and gives the true error of each axis.
// With periods, motion is kept to every other minute unless an axis is off by
// more than three times its tolerance.
func track(p plant.Config, c step.Config, minutes float64, cheat, periods bool) [2]figures {
	az, el := moon(0)
	p.Axes[0].Place, p.Axes[1].Place = unit.AngleFromDeg(az-20), unit.AngleFromDeg(el-8)
	d := newDish(p, c)
	d.cheat = cheat
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
			d.follow(moon)
		}
		if k == 0 {
			commands = append(commands, step.Command{Kind: step.Follow, Asked: true})
		}
		quiet := periods && d.in.Now > settle && int(d.in.Now.Minutes())%2 == 1
		if periods {
			commands = append(commands, step.Command{Kind: step.Quiet, On: quiet, Az: 3 * c.Axes[0].Tolerance, El: 3 * c.Axes[1].Tolerance})
		}
		d.step(commands...)
		a, e := moon(d.in.Now)
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
	}
	return out
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

func tracks(minutes float64) int {
	bad := 0
	tight := step.Default()
	for i := range tight.Axes {
		tight.Axes[i].Tolerance = 0
	}
	wide := step.Default()
	for i := range wide.Axes {
		// A beam of 2.9 degrees (5.6 m at 1296 MHz): 0.065 of it.
		wide.Axes[i].Tolerance = unit.AngleFromDeg(0.19)
	}
	calm := stillAir(3)
	breeze := stillAir(3)
	breeze.Wind.MeanMPS, breeze.Wind.Turbulence, breeze.Wind.Direction = 8, 0.1, unit.AngleFromDeg(60)
	gusty := stillAir(3)
	gusty.Wind.MeanMPS, gusty.Wind.Turbulence = 12, 0.25
	for _, row := range []struct {
		name           string
		p              plant.Config
		c              step.Config
		cheat          bool
		rms, p99, mean float64
		starts         float64
		periods        bool
	}{
		{"still air, tightest", calm, tight, false, 0.015, 0.035, 0.005, 0, false},
		{"wind on one flank, tightest", breeze, tight, false, 0.025, 0.06, 0.005, 0, false},
		{"gusts that change flanks, tightest", gusty, tight, false, 0, 0, 0, 0, false},
		{"gusts, truth in place of the estimate", gusty, tight, true, 0, 0, 0, 0, false},
		{"still air, default tolerance at 1296 MHz", calm, wide, false, 0, 0, 0, 60, false},
		{"still air, the same, motion in our periods only", calm, wide, false, 0, 0, 0, 60, true},
	} {
		for i, f := range track(row.p, row.c, minutes, row.cheat, row.periods) {
			words := ""
			for _, g := range []struct{ v, most float64 }{{f.rms, row.rms}, {f.p99, row.p99}, {math.Abs(f.mean), row.mean}, {f.starts, row.starts}} {
				w, missed := goal(g.v, g.most)
				words, bad = words+w, bad+missed
			}
			if row.periods {
				words += fmt.Sprintf(" outside them %.0f", f.outside)
				if f.outside > 0 {
					words, bad = words+" MISSED", bad+1
				}
			}
			fmt.Printf("track, %s, %s: %v%s\n", row.name, [...]string{"azimuth", "elevation"}[i], f, words)
		}
	}
	return bad
}
