package desk

import (
	"slices"
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive/mount"
)

// Survey is what is known of the mount's errors.
type Survey struct {
	// Observations are the peaks kept, oldest first. They and what they point to are not changed once published.
	Observations []mount.Observation
	// Fit is the model laid through them; nil with Why where there is none.
	Fit *mount.Fit
	Why string
	// Model is in use since At; zero time where none ever was.
	Model mount.Model
	At    time.Time
	// CanGoBack says that there was another before.
	CanGoBack bool
	// Change is by how much using the fit would move the axes at the target's place, trims put to zero.
	Change mount.Offset
	// Rounds is the survey that goes from target to target by itself.
	Rounds Rounds
}

// KeptSurvey is what is kept of it between two sessions.
type KeptSurvey struct {
	Observations []mount.Observation `json:"observations,omitempty"`
	Model        mount.Model         `json:"model"`
	At           time.Time           `json:"at"`
	// Before are the models that were in use before, newest last, each with the trims that went with it.
	Before []KeptModel `json:"before,omitempty"`
}

// KeptModel is a mount model that was in use.
type KeptModel struct {
	Model mount.Model `json:"model"`
	At    time.Time   `json:"at"`
	Trims []KeptTrim  `json:"trims,omitempty"`
}

// The most that is kept of a survey.
const (
	mostObservations = 500
	mostModels       = 20
)

// surveyState is what the desk carries of a survey.
type surveyState struct {
	KeptSurvey
	fit *mount.Fit
	why string
}

// takeSurvey takes up what was kept; what can't be used is left out.
func (s *State) takeSurvey(k KeptSurvey) {
	if k.Model.Validate() != nil {
		k.Model, k.At = mount.Model{}, time.Time{}
	}
	k.Before = slices.DeleteFunc(slices.Clone(k.Before), func(m KeptModel) bool { return m.Model.Validate() != nil })
	k.Observations = slices.DeleteFunc(
		slices.Clone(k.Observations),
		func(o mount.Observation) bool { return o.Validate() != nil },
	)
	s.Survey = surveyState{KeptSurvey: k}
	s.refit()
}

// SurveyOf lays a model through observations; Why says why there is none.
func SurveyOf(observations []mount.Observation) Survey {
	out := Survey{Observations: observations}
	f, err := mount.FitModel(observations)
	if err != nil {
		out.Why = err.Error()
		return out
	}
	out.Fit = &f
	return out
}

// refit lays the model through the observations anew.
func (s *State) refit() {
	fitted := SurveyOf(s.Survey.Observations)
	s.Survey.fit, s.Survey.why = fitted.Fit, fitted.Why
}

// survey obeys the orders about mount model and receiver.
func (t *turn) survey(o Order) {
	switch o.Kind {
	case Exclude:
		t.exclude(o.Index, o.On)
	case ForgetSurvey:
		t.forgetSurvey()
	case Compare:
		t.compare(o.On)
	case MeasureEchoes:
		t.orderEchoes(o)
	case SkyDip:
		t.dip(o.Az, o.On)
	case RoundsTo:
		t.roundsTo(o.Words, o.Index, o.On)
	case MeasureY:
		t.measureY()
	case FluxTo:
		t.fluxTo(o.Words, o.On)
	}
}

// observe keeps a peak as an observation of the mount.
func (t *turn) observe(o mount.Observation) {
	v := &t.s.Survey
	if o.Validate() != nil {
		return
	}
	all := append(slices.Clone(v.Observations), o)
	if len(all) > mostObservations {
		all = all[len(all)-mostObservations:]
	}
	v.Observations = all
	t.s.refit()
}

// exclude leaves an observation out of the fit, or takes it in again.
func (t *turn) exclude(index int, out bool) {
	v := &t.s.Survey
	if index < 0 || index >= len(v.Observations) {
		return
	}
	v.Observations = slices.Clone(v.Observations)
	v.Observations[index].Excluded = out
	t.s.refit()
}

// forgetSurvey begins a new survey: the observations go, the model in use stays.
func (t *turn) forgetSurvey() {
	n := len(t.s.Survey.Observations)
	t.s.Survey.Observations = nil
	t.s.refit()
	t.say(Notice, "New survey: %d observations deleted; the mount model in use stays", n)
}

// standing says why the mount model can't be changed now; empty where it can.
func (t *turn) standing() string {
	switch {
	case t.busy() != "":
		return t.busy()
	case t.s.Aim == slewAim, t.s.Aim == parkAim, t.s.Aim == windAim, t.s.Aim == snowAim, t.s.Waiting.Is:
		return "the dish is slewing"
	}
	return ""
}

// useModel takes the fitted model into use. The trims belonged to the model before it and go to zero.
func (t *turn) useModel() {
	s := t.s
	v := &s.Survey
	why := t.standing()
	if v.fit == nil && why == "" {
		why = v.why
	}
	if why == "" {
		if err := v.fit.Model.Validate(); err != nil {
			why = err.Error()
		}
	}
	if why != "" {
		t.say(Warning, "Mount model unchanged: %s", why)
		return
	}
	v.Before = append(slices.Clone(v.Before), KeptModel{v.Model, v.At, s.Trims})
	if len(v.Before) > mostModels {
		v.Before = v.Before[len(v.Before)-mostModels:]
	}
	v.Model, v.At = v.fit.Model, t.in.At
	t.remodelled(nil)
	t.say(Notice, "Mount model from %d observations in use; all trims are zero", v.fit.Used)
}

// modelBack takes the model before into use, with the trims that went with it.
func (t *turn) modelBack() {
	s := t.s
	v := &s.Survey
	if why := t.standing(); why != "" || len(v.Before) == 0 {
		if why == "" {
			why = "there is no previous one"
		}
		t.say(Warning, "Mount model unchanged: %s", why)
		return
	}
	last := v.Before[len(v.Before)-1]
	v.Before = v.Before[:len(v.Before)-1]
	v.Model, v.At = last.Model, last.At
	t.remodelled(last.Trims)
	t.say(Notice, "The previous mount model is in use again, with its trims")
}

// remodelled lets everything that follows from the model be worked out anew.
func (t *turn) remodelled(trims []KeptTrim) {
	s := t.s
	s.NudgeAt = t.in.Now
	s.Trims, s.HasBack = trims, false
	s.Peak.Used = true // what it found belonged to the model before
	s.HasCourse = false
	s.Route = pointing.Route{}
}

// surveyStatus is what is known of the mount's errors.
func (t *turn) surveyStatus() Survey {
	s := t.s
	v := &s.Survey
	out := Survey{
		Observations: v.Observations,
		Fit:          v.fit,
		Why:          v.why,
		Model:        v.Model,
		At:           v.At,
		CanGoBack:    len(v.Before) > 0,
		Rounds:       t.roundsStatus(),
	}
	d, _, ok := t.c.Place(s.Choice, t.in.At)
	if v.fit != nil && ok {
		now := s.chain(t.c)
		then := now
		then.Model, then.Trim = v.fit.Model, mount.Offset{}
		is, will := now.Axes(d), then.Axes(d)
		out.Change = mount.Offset{Cross: will.Az - is.Az, El: will.El - is.El}
	}
	return out
}
