package measuring

import (
	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
)

// Order is something that the operator asks of the measurements.
type Order interface{ obey(w *work) }

type (
	// TakeColdSky takes the noise level now as cold sky.
	TakeColdSky struct{}
	// AverageTo averages the noise level over so many milliseconds.
	AverageTo struct{ MS int }
	// TakePeak takes a peak: by sweeps across the target, or by five stops.
	TakePeak struct{ Sweeps bool }
	// UsePeak makes what the newest peak found the trim.
	UsePeak struct{}
	// MeasureY measures the Y factor of the target over the sky beside it.
	MeasureY struct{}
	// Compare measures the Y factor of the noise source, or of the ground at which the dish holds.
	Compare struct{ NoiseSource bool }
	// SkyDip works out what a sky dip at an azimuth would do, NaN for the best one, and begins it where asked to.
	SkyDip struct {
		Az    unit.Angle
		Begin bool
	}
	// FluxTo enters a day's solar flux, as package receiver reads it; no words with Confirm confirm the newest,
	// without forget all.
	FluxTo struct {
		Words   string
		Confirm bool
	}
	// SurveyTo begins (On) a survey that goes by itself from one of the Targets, with commas between them, to the
	// next for some hours, or ends it.
	SurveyTo struct {
		Targets string
		Hours   int
		On      bool
	}
	// Exclude leaves an observation of the survey out of the fit (Out) or takes it in again.
	Exclude struct {
		Index int
		Out   bool
	}
	// UseModel takes the mount model fitted to the observations into use; ModelBack the one before.
	UseModel  struct{}
	ModelBack struct{}
	// ForgetSurvey forgets the observations.
	ForgetSurvey struct{}
	// CheckDish begins the station check, or its longer form.
	CheckDish struct{ Long bool }
	// EndJob ends the measurement that is under way.
	EndJob struct{}
)

func (TakeColdSky) obey(w *work)  { w.coldSky() }
func (o AverageTo) obey(w *work)  { w.s.AverageMS = max(100, min(maxAverageMS, o.MS)) }
func (o TakePeak) obey(w *work)   { w.takePeak(o.Sweeps) }
func (UsePeak) obey(w *work)      { w.usePeak() }
func (MeasureY) obey(w *work)     { w.measureY() }
func (o Compare) obey(w *work)    { w.compare(o.NoiseSource) }
func (o SkyDip) obey(w *work)     { w.dip(o.Az, o.Begin) }
func (o FluxTo) obey(w *work)     { w.fluxTo(o.Words, o.Confirm) }
func (o SurveyTo) obey(w *work)   { w.roundsTo(o.Targets, o.Hours, o.On) }
func (o Exclude) obey(w *work)    { w.exclude(o.Index, o.Out) }
func (UseModel) obey(w *work)     { w.useModel() }
func (ModelBack) obey(w *work)    { w.modelBack() }
func (ForgetSurvey) obey(w *work) { w.forgetSurvey() }
func (o CheckDish) obey(w *work)  { w.check(o.Long) }
func (EndJob) obey(w *work) {
	why := message.Of("desk.ended-by-operator")
	w.endPeak(why)
	w.endReceiving(why)
	w.endSeries(why)
	w.endCheck(why)
}

// Obey does what the operator asks, or says why not.
func Obey(c *station.Config, s *State, in *Inputs, o Order) Outputs {
	w := newWork(c, s, in)
	o.obey(w)
	return w.finish()
}

// Intervention is what an order of the operator means for a measurement that is under way.
type Intervention struct {
	// Series, Check and Survey say which of them it ends, Moves that it ends a series only where that moves the dish.
	Series, Moves, Check, Survey bool
	// Directs: the order itself says what the dish does; else it holds.
	Directs bool
	// Why ends an automatic survey with the dish holding, where it says anything.
	Why message.Message
}

// Intervene ends what an order of the operator puts an end to, before the order is obeyed.
func Intervene(c *station.Config, s *State, in *Inputs, by Intervention) Outputs {
	w, takenOver := newWork(c, s, in), message.Of("desk.taken-over")
	if r := s.Receiver.Series; r != nil && (by.Series || by.Moves && r.moves()) {
		w.endSeries(takenOver)
	}
	if r := s.Check.Run; r != nil && by.Check {
		w.leaveCheck(r, !by.Directs)
		w.say(alarm.Notice, "check.ended", takenOver)
	}
	switch {
	case !s.Rounds.Running:
	case by.Survey:
		s.Rounds.Running = false // without the hold: the order itself says what the dish does
		w.endPeak(takenOver)
		w.say(alarm.Notice, "survey.over", s.Rounds.Taken, takenOver)
	case by.Why.Code != "":
		w.endRounds(by.Why)
	}
	return w.finish()
}
