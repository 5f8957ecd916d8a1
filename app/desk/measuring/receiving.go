package measuring

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
	"beamhelm/drive/step"
)

// ReceiverResult is what a Y factor came to. It is not changed once published.
type ReceiverResult struct {
	At             time.Time        `json:"at"`
	Band           string           `json:"band"`
	Feed           string           `json:"feed"`
	Target         string           `json:"target"`
	El             unit.Angle       `json:"elevation_rad"` // as seen
	Figures        receiver.Figures `json:"figures"`
	FluxSFU        float64          `json:"flux_sfu"`
	FluxOf         message.Message  `json:"flux_of"` // where the flux is from
	Doubt          message.Message  `json:"doubt,omitzero"`
	OffSourceRight bool             `json:"aside_right"` // the side on which the sky was taken
	Why            message.Message  `json:"why,omitzero"`
	// Of the ground: where cold sky was, and what the antenna gets from the ground; 0 else.
	ColdEl unit.Angle `json:"cold_elevation_rad,omitempty"`
	WarmK  float64    `json:"warm_k,omitempty"`
}

// Receiving is how the measuring of the receiver stands.
type Receiving struct {
	Running  bool
	Doing    message.Message
	Part     float64
	Progress // its stops
	// Last is the newest result, nil for none; Before those of earlier, newest last.
	Last   *ReceiverResult
	Before []ReceiverResult
	// Expected is what should be measured on the target now; HasExpected where its flux is known, else Why.
	Expected    receiver.Figures
	HasExpected bool
	Why         message.Message
	// Reports are the solar fluxes entered, oldest first; Sun is the flux that is taken now, SunWhy why there is none.
	Reports receiver.Reports
	Sun     receiver.SunFlux
	SunWhy  message.Message
	Dip     Dip
	// SunOld says that the newest report must be confirmed before it is taken.
	SunOld bool
}

// KeptReceiver is what is kept of the receiver between two sessions.
type KeptReceiver struct {
	Report    string           `json:"report,omitempty"` // of a version before: the newest alone
	Reports   []string         `json:"reports,omitempty"`
	Confirmed time.Time        `json:"confirmed,omitzero"`
	Results   []ReceiverResult `json:"results,omitempty"`
	Dips      []DipResult      `json:"dips,omitempty"`
}

// receiverState is what the desk carries of it.
type receiverState struct {
	Reports   receiver.Reports
	Confirmed time.Time // when an old report was confirmed
	Results   []ReceiverResult
	Last      *ReceiverResult
	Run       *receiverRun
	Series    *series // a measurement at stops with no target
	Dips      []DipResult
	DipLast   *DipResult
	DipPlan   *DipPlan
	// What should be measured, worked out every few seconds: the sky beside is looked up for it.
	expected receivable
}

// receiverRun is a Y factor that is being measured: on and beside by turns.
type receiverRun struct {
	subject
	Side   unit.Angle
	Stops  []receiver.Stop
	Levels []float64 // of the stop under way, linear
	There  bool
	Begun  step.Nanos // the run
	At     step.Nanos
	Begin  time.Time
}

// The shape of the sequence.
const (
	receiverStops   = 7
	receiverSettles = 1500 * time.Millisecond
	receiverLasts   = 8 * time.Second // of a stop
	receiverWay     = 6 * time.Second // about, to a stop and to settle there
	maxResults      = 200
	minAside        = 3 // beamwidths
)

// takeReceiver takes up what was kept; what can't be read is left out.
func (s *State) takeReceiver(k KeptReceiver) {
	s.Receiver.Confirmed = k.Confirmed
	for _, words := range append([]string{k.Report}, k.Reports...) {
		if r, err := receiver.ParseReport(words); err == nil {
			s.Receiver.Reports = s.Receiver.Reports.With(r)
		}
	}
	s.Receiver.Results = k.Results
	s.Receiver.Dips = slices.DeleteFunc(slices.Clone(k.Dips), func(d DipResult) bool { return !d.keepable() })
	if n := len(s.Receiver.Dips); n > 0 {
		newest := s.Receiver.Dips[n-1]
		s.Receiver.DipLast = &newest
	}
}

func (s *State) keptReceiver() KeptReceiver {
	k := KeptReceiver{Confirmed: s.Receiver.Confirmed, Results: s.Receiver.Results, Dips: s.Receiver.Dips}
	for _, r := range s.Receiver.Reports {
		k.Reports = append(k.Reports, r.String())
	}
	return k
}

// fluxTo takes a day's solar flux; empty words forget all, or confirm the newest.
func (w *work) fluxTo(words string, confirm bool) {
	v := &w.s.Receiver
	switch {
	case words == "" && confirm:
		v.Confirmed = w.in.At
		w.say(alarm.Normal, "flux.confirmed")
		return
	case words == "":
		v.Reports, v.Confirmed = nil, time.Time{}
		w.say(alarm.Normal, "flux.forgotten")
		return
	}
	r, err := receiver.ParseReport(words)
	if err != nil {
		w.say(alarm.Warning, "flux.unchanged", err)
		return
	}
	v.Reports = v.Reports.With(r)
	w.say(alarm.Normal, "flux.entered", r.Day)
}

// sunFlux is the Sun's flux as it is taken for a measurement.
func (s *State) sunFlux(hz float64, at time.Time) (receiver.SunFlux, error) {
	return s.Receiver.Reports.Flux(hz, at, s.Receiver.Confirmed)
}

// SolarFlux is the Sun's flux at a frequency for what is to be expected, W m⁻² Hz⁻¹: as a measurement takes it, or
// else by the solar cycle; 0 where neither is known.
func (s *State) SolarFlux(hz float64, at time.Time) float64 {
	sun, err := s.sunFlux(hz, at)
	if err != nil {
		sun, _ = receiver.ExpectedSun(hz, at) // 0 where none is known
	}
	return sun.Flux
}

// measureY begins a Y factor, or says why not.
func (w *work) measureY() {
	s, c := w.s, w.c
	w.pressed()
	run := &receiverRun{
		subject: w.subject(), Begun: w.in.Now, At: w.in.Now,
	}
	_, _, why := w.receiverQuestion()
	switch {
	case w.busy().Code != "":
		why = w.busy()
	case !w.in.Tracking || !pointing.Follows(w.in.Loop.Mode):
		why = message.Of("yfactor.track-first")
	case !w.heard():
		why = message.Of("measuring.no-level-now")
		if s.Peak.Flaw != level.Sound {
			why = s.Peak.Flaw.Message()
		}
	case why.Code == "":
		by := c.Beamwidth(w.in.Band, w.in.Feed).Mul(max(minAside, c.Settings.Tracking.OffSourceBeamwidths))
		run.Side, why = w.in.Beam.Colder(by)
	}
	if why.Code != "" {
		w.say(alarm.Warning, "yfactor.none", why)
		return
	}
	s.Receiver.Run = run
	w.excurse(pointing.Excursion{})
	w.say(alarm.Normal, "yfactor.begun", w.in.Target.InWords())
}

// receiving takes the levels in and moves the sequence on.
func (w *work) receiving() {
	r := w.s.Receiver.Run
	if r == nil {
		return
	}
	for i := range w.in.Levels {
		m := &w.in.Levels[i]
		if m.Flaw == level.Sound && m.Trusted && r.There && m.At.After(r.Begin) {
			r.Levels = append(r.Levels, level.PowerOf(m.LevelDB))
		}
	}
	if why := w.hindered(&r.subject, r.At); why.Code != "" {
		w.endReceiving(why)
		return
	}
	switch {
	case !r.There:
		w.receiverComes(r)
	case w.in.At.Sub(r.Begin) > receiverLasts:
		w.nextStop(r)
	}
}

// on reports whether the stop under way is on the target.
func (r *receiverRun) on() bool { return len(r.Stops)%2 == 0 }

// receiverComes waits until the beam stands where the stop is.
func (w *work) receiverComes(r *receiverRun) {
	d, _, ok := w.c.Place(r.Choice, w.in.At)
	commanded := r.Trim.Plus(w.in.Beam.Excursion.OffsetAt(w.in.At, d))
	is, _ := w.in.Beam.Off(pointing.AxesOf(w.in.Loop), w.in.At)
	off := unit.Angle(math.Hypot((is.Cross - commanded.Cross).Rad(), (is.El - commanded.El).Rad()))
	near := max(
		w.c.Beamwidth(w.in.Band, w.in.Feed).Mul(0.12),
		w.in.Loop.Axes[0].Step.Mul(1.5),
		w.in.Loop.Axes[1].Step.Mul(1.5),
	)
	switch {
	case w.in.Now-r.At > peakWay:
		w.endReceiving(message.Of("desk.beam-late"))
	case ok && off <= near && w.in.Now-r.At > receiverSettles:
		r.There, r.Begin, r.Levels = true, w.in.At.Add(level.MeanLasts), nil
	}
}

// nextStop closes a stop, and goes on to the next or ends with the result.
func (w *work) nextStop(r *receiverRun) {
	mean, scatter := meanOf(r.Levels)
	r.Stops = append(r.Stops, receiver.Stop{On: r.on(), Power: mean, Scatter: scatter, N: len(r.Levels)})
	r.There, r.At, r.Levels = false, w.in.Now, nil
	if len(r.Stops) == receiverStops {
		w.finishReceiving(r)
		return
	}
	if r.on() {
		w.excurse(pointing.Excursion{})
	} else {
		w.excurse(pointing.Excursion{Sideways: r.Side})
	}
}

func meanOf(levels []float64) (mean, scatter float64) {
	for _, v := range levels {
		mean += v / float64(len(levels))
	}
	for _, v := range levels {
		scatter += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(scatter / max(1, float64(len(levels)-1)))
}

// finishReceiving judges the Y factor and goes back to tracking.
func (w *work) finishReceiving(r *receiverRun) {
	s := w.s
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	res := &ReceiverResult{
		At:             w.in.At,
		Band:           band,
		Feed:           feed,
		Target:         w.in.Target.BareName(),
		OffSourceRight: r.Side > 0,
	}
	d, _, _ := w.c.Place(r.Choice, w.in.At)
	res.El = d.El
	y, sigma, err := receiver.YFactor(r.Stops)
	if err == nil {
		q, of, why := w.receiverQuestion()
		res.FluxOf, res.Doubt, res.FluxSFU = of.name, of.doubt, q.Flux/1e-22
		if why.Code != "" {
			err = why
		} else {
			res.Figures, err = receiver.Judge(y, sigma, q)
		}
	}
	s.Receiver.Run = nil
	w.excurse(pointing.Excursion{})
	s.Receiver.Last = res
	if err != nil {
		res.Why = message.OfError(err)
		w.say(alarm.Warning, "yfactor.unusable", w.in.Target.InWords(), res.Why)
		return
	}
	s.keepResult(res)
	f := &res.Figures
	w.say(
		alarm.Normal,
		"yfactor.done",
		w.in.Target.InWords(),
		f.YDB,
		f.GTDB,
		f.SystemK,
	)
}

// keepResult takes a result into the history.
func (s *State) keepResult(res *ReceiverResult) {
	results := append([]ReceiverResult(nil), s.Receiver.Results...)
	if results = append(results, *res); len(results) > maxResults {
		results = results[len(results)-maxResults:]
	}
	s.Receiver.Results = results
}

// endReceiving ends the sequence without a result.
func (w *work) endReceiving(why message.Message) {
	s := w.s
	if s.Receiver.Run == nil {
		return
	}
	s.Receiver.Run = nil
	w.excurse(pointing.Excursion{})
	w.say(alarm.Notice, "yfactor.none", why)
}

// receiverStatus is how the measuring of the receiver stands.
func (w *work) receiverStatus() Receiving {
	s := w.s
	v := &s.Receiver
	out := Receiving{Last: v.Last, Before: v.Results, Reports: v.Reports}
	var err error
	if out.Sun, err = s.sunFlux(w.c.Settings.Bands[w.in.Band].MHz*1e6, w.in.At); err != nil {
		out.SunWhy = message.OfError(err)
		out.SunOld = out.SunWhy.Code == receiver.Old
	}
	e := w.receivable()
	out.Expected, out.Why, out.HasExpected = e.figures, e.why, e.why.Code == ""
	if r := v.Run; r != nil {
		out.Running = true
		doing := either(r.on(), "yfactor.doing.on", "yfactor.doing.off")
		if !r.There {
			doing = either(r.on(), "yfactor.doing.to-on", "yfactor.doing.to-off")
		}
		out.Doing = message.Of(doing, w.in.Target.InWords())
		out.Part = float64(len(r.Stops)) / receiverStops
		out.Progress = course{r.Begun, r.At}.progress(w.in.Now, len(r.Stops), receiverStops, receiverLasts+receiverWay)
	}
	out.Dip = Dip{Plan: v.DipPlan, Last: v.DipLast, Before: v.Dips}
	w.seriesStatus(&out)
	return out
}
