package measuring

import (
	"slices"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// Survey is what is known of the mount's errors.
type Survey struct {
	// Observations are the peaks kept, oldest first. They and what they point to are not changed once published.
	Observations []mount.Observation
	// Fit is the model laid through them; nil with Why where there is none.
	Fit *mount.Fit
	Why message.Message
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
	Model mount.Model         `json:"model"`
	At    time.Time           `json:"at"`
	Trims []pointing.KeptTrim `json:"trims,omitempty"`
}

// The most that is kept of a survey.
const (
	maxObservations = 500
	maxModels       = 20
)

// surveyState is what the desk carries of a survey.
type surveyState struct {
	KeptSurvey
	fit *mount.Fit
	why message.Message
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
		out.Why = message.OfError(err)
		return out
	}
	out.Fit = &f
	return out
}

// refit lays the model through the observations again.
func (s *State) refit() {
	fitted := SurveyOf(s.Survey.Observations)
	s.Survey.fit, s.Survey.why = fitted.Fit, fitted.Why
}

// observe keeps a peak as an observation of the mount.
func (w *work) observe(o mount.Observation) {
	v := &w.s.Survey
	if o.Validate() != nil {
		return
	}
	all := append(slices.Clone(v.Observations), o)
	if len(all) > maxObservations {
		all = all[len(all)-maxObservations:]
	}
	v.Observations = all
	w.s.refit()
}

// exclude leaves an observation out of the fit, or takes it in again.
func (w *work) exclude(index int, out bool) {
	v := &w.s.Survey
	if index < 0 || index >= len(v.Observations) {
		return
	}
	v.Observations = slices.Clone(v.Observations)
	v.Observations[index].Excluded = out
	w.s.refit()
}

// forgetSurvey begins a new survey: the observations go, the model in use stays.
func (w *work) forgetSurvey() {
	n := len(w.s.Survey.Observations)
	w.s.Survey.Observations = nil
	w.s.refit()
	w.say(alarm.Notice, "survey.new", n)
}

// standing says why the mount model can't be changed now; nothing where it can.
func (w *work) standing() message.Message {
	switch {
	case w.busy().Code != "":
		return w.busy()
	case w.in.UnderWay, w.in.Powering:
		return message.Of("model.slewing")
	}
	return message.Message{}
}

// useModel takes the fitted model into use. The trims belonged to the model before it and go to zero.
func (w *work) useModel() {
	s := w.s
	v := &s.Survey
	why := w.standing()
	if v.fit == nil && why.Code == "" {
		why = v.why
	}
	if why.Code == "" {
		why = message.OfError(v.fit.Model.Validate())
	}
	if why.Code != "" {
		w.say(alarm.Warning, "model.unchanged", why)
		return
	}
	v.Before = append(slices.Clone(v.Before), KeptModel{v.Model, v.At, w.in.Trims})
	if len(v.Before) > maxModels {
		v.Before = v.Before[len(v.Before)-maxModels:]
	}
	v.Model, v.At = v.fit.Model, w.in.At
	w.remodelled(nil)
	w.say(alarm.Notice, "model.used", v.fit.Used)
}

// modelBack takes the model before into use, with the trims that went with it.
func (w *work) modelBack() {
	s := w.s
	v := &s.Survey
	if why := w.standing(); why.Code != "" || len(v.Before) == 0 {
		if why.Code == "" {
			why = message.Of("model.none-before")
		}
		w.say(alarm.Warning, "model.unchanged", why)
		return
	}
	last := v.Before[len(v.Before)-1]
	v.Before = v.Before[:len(v.Before)-1]
	v.Model, v.At = last.Model, last.At
	w.remodelled(last.Trims)
	w.say(alarm.Notice, "model.back")
}

// remodelled lets everything that follows from the model be worked out again.
func (w *work) remodelled(trims pointing.Trims) {
	w.pressed()
	w.s.Peak.Used = true // what it found belonged to the model before
	w.ask(Remodel{trims})
}

// surveyStatus is what is known of the mount's errors.
func (w *work) surveyStatus() Survey {
	s := w.s
	v := &s.Survey
	out := Survey{
		Observations: v.Observations,
		Fit:          v.fit,
		Why:          v.why,
		Model:        v.Model,
		At:           v.At,
		CanGoBack:    len(v.Before) > 0,
		Rounds:       w.roundsStatus(),
	}
	d, _, ok := w.c.Place(w.in.Target, w.in.At)
	if v.fit != nil && ok {
		now := w.in.Beam.Chain
		then := now
		then.Model, then.Trim = v.fit.Model, mount.Offset{}
		is, will := now.Axes(d), then.Axes(d)
		out.Change = mount.Offset{Cross: will.Az - is.Az, El: will.El - is.El}
	}
	return out
}
