package measuring

import (
	"time"

	"beamhelm/drive/step"
)

// Progress is how far a measurement is that goes through several steps.
type Progress struct {
	// Step is the one under way, from 1, of Steps; Steps is 0 where they aren't counted.
	Step, Steps int
	// Left is about how long the rest takes; 0: not known.
	Left time.Duration
}

// course is the times of a measurement in steps: when it began and when its newest step did.
type course struct{ Begun, StepBegun step.Nanos }

// progress goes by the mean time of the steps done; as long as none is, each is taken to last as expected.
func (c course) progress(now step.Nanos, done, steps int, expected time.Duration) Progress {
	if done > 0 {
		expected = (c.StepBegun - c.Begun) / time.Duration(done)
	}
	left := expected*time.Duration(steps-done) - (now - c.StepBegun)
	return Progress{Step: min(done+1, steps), Steps: steps, Left: max(left, time.Second)}
}
