package desk

import (
	"slices"

	"beamhelm/app/desk/pointing"
)

// TimeScales are how many times as fast as the real time that of a simulated sky may run.
func TimeScales() []int { return []int{1, 10, 60} }

// Pace is how many times as fast as the loop's time that of the sky runs, in practice.
type Pace interface {
	Scale() int
	SetScale(n int)
}

// timeScale is the pace; 0 where the time of the sky can't run faster.
func (d *Runner) timeScale() int {
	if d.pace == nil {
		return 0
	}
	return d.pace.Scale()
}

// setTimeScale takes a pace, if there is one to be taken.
func (d *Runner) setTimeScale(to int) {
	if d.pace != nil && to > 0 {
		d.pace.SetScale(to)
	}
}

// scaleTime has the time of the sky run faster or in step again, from the next step on.
func (t *work) scaleTime(to int) {
	switch busy := t.busy(); {
	case t.in.TimeScale == 0:
		t.warn("The time runs faster in practice only")
		return
	case !slices.Contains(TimeScales(), to) || to == t.in.TimeScale:
		return
	case to > 1 && t.s.Measuring.Rounds.Running:
		t.warn("Practice time stays as it is: a survey is running")
		return
	case to > 1 && busy != "":
		t.warn("Practice time stays as it is: " + busy)
		return
	}
	t.out.TimeScale = to
	if to == 1 {
		t.say(Notice, "Practice time runs in step with real time")
	} else {
		t.say(Notice, "Practice time runs %d times as fast as real time", to)
	}
}

// paced takes in another pace: what was worked out by the former one is worked out anew.
func (t *work) paced() {
	if s := t.s; s.TimeScale != t.in.TimeScale {
		s.TimeScale, s.Route = t.in.TimeScale, pointing.Route{}
		s.CourseAt -= pointing.RenewEvery
	}
}

// needsRealTime reports whether an order begins something that takes its time: noise is averaged, and a tone
// goes to the Moon and back, in real seconds, while a faster sky would move on by beamwidths.
func needsRealTime(o Order) bool {
	switch o.Kind {
	case TakePeak, MeasureY, Compare, CheckDish:
		return true
	case SkyDip, MeasureEchoes, RoundsTo:
		return o.On
	}
	return false
}
