package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/peak"
	"beamhelm/drive/mount/trials"
)

// many is how often each trial is made.
const many = 400

// peaks lays curves through invented sweeps: the pull is the root mean square of what the centre is
// off by over the error told.
func peaks() error {
	fmt.Printf("\npeaks, %d invented sweeps each (goal: pull 0.5 to 0.9, 1 is exact):\n", many)
	for _, c := range []struct {
		name                        string
		beam, disc, scatter, centre float64
	}{{"the Sun at 1296 MHz", 2.7, 0.53, 0.03, 0.4}, {"the Moon at 5760 MHz", 0.65, 0.52, 0.05, 0.1},
		{"a disc wider than the beam", 0.29, 0.53, 0.03, 0.08}} {
		chance := rand.New(rand.NewPCG(1, uint64(c.beam*100)))
		shape := peak.NewShape(unit.AngleFromDeg(c.beam), unit.AngleFromDeg(c.disc))
		squares := 0.0
		for range many {
			f, err := peak.Sweep(sweep(chance, shape, c.centre, c.scatter), shape)
			if err != nil {
				return fmt.Errorf("%s: %w", c.name, err)
			}
			pull := (f.Centre.Deg() - c.centre) / f.CentreError.Deg()
			squares += pull * pull / many
		}
		fmt.Printf("  %-28s pull %.2f\n", c.name, math.Sqrt(squares))
	}
	return nil
}

// sweep is a sweep both ways over an invented source of twice the noise beside it.
func sweep(chance *rand.Rand, s peak.Shape, centre, scatter float64) []peak.Point {
	const n = 80
	var points []peak.Point
	for way := range 2 {
		for i := range n {
			x := (float64(i)/(n-1) - 0.5) * 3 * s.Width.Deg()
			power := 1 + 2*s.At(unit.AngleFromDeg(x-centre)) + scatter*chance.NormFloat64()
			points = append(points, peak.Point{Off: unit.AngleFromDeg(x), Power: power, Up: way == 0})
		}
	}
	return points
}

// mounts lays models through invented surveys.
func mounts() error {
	fmt.Printf("\nmount models, peaks good to 0.03°, %d invented mounts each (goals: false terms at most 5 %%, the "+
		"error told holds in 90 %% of the sky; none for large terms):\n", many)
	for _, s := range trials.Surveys() {
		for _, size := range []float64{trials.ZerosAlone, trials.Good, trials.Crude} {
			r, err := trials.Run(s, many, 0.03, size, rand.New(rand.NewPCG(1, 17)))
			if err != nil {
				return fmt.Errorf("%s: %w", s.Name, err)
			}
			what := map[float64]string{
				trials.ZerosAlone: "zeros alone", trials.Good: "with terms", trials.Crude: "large terms",
			}[size]
			fmt.Printf("  %-12s %-11s a false term in %4.1f %%, the error told holds in %4.1f %%, off by %.3f° in "+
				"the middle, %.2f° at worst\n",
				s.Name, what, 100*r.False, 100*r.Inside, r.Median, r.Worst)
		}
	}
	return nil
}
