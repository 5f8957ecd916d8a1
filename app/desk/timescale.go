package desk

import (
	"slices"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
)

// TimeScales are how many times as fast as real time a simulated sky may run.
func TimeScales() []int { return []int{1, 10, 60} }

// TimeScaler sets how many times as fast as the loop's time the sky's runs, in practice.
type TimeScaler interface {
	Scale() int
	SetScale(n int)
}

// timeScale is the time scale in force; 0 where the sky's time can't run faster.
func (d *Runner) timeScale() int {
	if d.skyTime == nil {
		return 0
	}
	return d.skyTime.Scale()
}

// setTimeScale sets the time scale; 0 leaves it as it is.
func (d *Runner) setTimeScale(to int) {
	if d.skyTime != nil && to > 0 {
		d.skyTime.SetScale(to)
	}
}

// The time scale of the sky is another from the next step on.
func (o TimeScaleTo) obey(t *work) {
	to := o.Scale
	switch busy := t.busy(); {
	case t.in.TimeScale == 0:
		t.say(Warning, "timescale.practice-only")
		return
	case !slices.Contains(TimeScales(), to) || to == t.in.TimeScale:
		return
	case to > 1 && t.s.Measuring.Rounds.Running:
		t.say(Warning, "timescale.unchanged", message.Of("timescale.survey"))
		return
	case to > 1 && busy.Code != "":
		t.say(Warning, "timescale.unchanged", busy)
		return
	}
	t.out.TimeScale = to
	if to == 1 {
		t.say(Notice, "timescale.real")
	} else {
		t.say(Notice, "timescale.fast", to)
	}
}

// takeTimeScale drops the route and renews the course that were worked out for another time scale.
func (t *work) takeTimeScale() {
	if s := t.s; s.TimeScale != t.in.TimeScale {
		s.TimeScale, s.Route = t.in.TimeScale, pointing.Route{}
		s.CourseAt -= pointing.RenewEvery
	}
}

// needsRealTime reports whether an order begins a measurement that takes real seconds: noise is averaged, a tone goes
// to the Moon and back. A faster sky would move by beamwidths meanwhile.
func needsRealTime(o Order) bool {
	switch o := o.(type) {
	case TakePeak, MeasureY, Compare, CheckDish:
		return true
	case SkyDip:
		return o.Begin
	case MeasureEchoes:
		return o.On
	case SurveyTo:
		return o.On
	}
	return false
}
