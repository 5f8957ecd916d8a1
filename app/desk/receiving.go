package desk

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// ReceiverResult is what a Y factor came to. It is not changed once published.
type ReceiverResult struct {
	At         time.Time        `json:"at"`
	Band       string           `json:"band"`
	Feed       string           `json:"feed"`
	Target     string           `json:"target"`
	El         unit.Angle       `json:"elevation_rad"` // as seen
	Figures    receiver.Figures `json:"figures"`
	FluxSFU    float64          `json:"flux_sfu"`
	FluxOf     string           `json:"flux_of"` // where the flux is from
	Doubt      string           `json:"doubt,omitempty"`
	AsideRight bool             `json:"aside_right"` // the side on which the sky was taken
	Why        string           `json:"why,omitempty"`
	// Of the ground: where cold sky was, and what the antenna gets from the ground; 0 else.
	ColdEl unit.Angle `json:"cold_elevation_rad,omitempty"`
	WarmK  float64    `json:"warm_k,omitempty"`
}

// Receiving is how the measuring of the receiver stands.
type Receiving struct {
	Running bool
	Doing   string
	Part    float64
	// Last is the newest result, nil for none; Before those of earlier, newest last.
	Last   *ReceiverResult
	Before []ReceiverResult
	// Expected is what should be measured on the target now; HasExpected where its flux is known, else Why.
	Expected    receiver.Figures
	HasExpected bool
	Why         string
	// Reports are the solar fluxes entered, oldest first; Sun is the flux that is taken now, SunWhy why there is none.
	Reports receiver.Reports
	Sun     receiver.SunFlux
	SunWhy  string
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
	Band, Feed int
	Choice     station.Target
	Trim       mount.Offset
	Side       unit.Angle
	Stops      []receiver.Stop
	Levels     []float64 // of the stop under way, linear
	There      bool
	At         step.Nanos
	Begin      time.Time
}

// The shape of the sequence.
const (
	receiverStops   = 7
	receiverSettles = 1500 * time.Millisecond
	receiverLasts   = 8 * time.Second // of a stop
	mostResults     = 200
	leastAside      = 3 // beamwidths
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
func (t *turn) fluxTo(words string, confirm bool) {
	v := &t.s.Receiver
	switch {
	case words == "" && confirm:
		v.Confirmed = t.in.At
		t.say(Normal, "The solar flux entered last is confirmed for a day")
		return
	case words == "":
		v.Reports, v.Confirmed = nil, time.Time{}
		t.say(Normal, "All solar fluxes forgotten: the solar cycle's mean is taken")
		return
	}
	r, err := receiver.ParseReport(words)
	if err != nil {
		t.say(Warning, "Solar flux unchanged: %v", err)
		return
	}
	v.Reports = v.Reports.With(r)
	t.say(Normal, "Solar flux of %s entered", r.Day.Format(time.DateOnly))
}

// sunFlux is the Sun's flux as it is taken for a measurement.
func (t *turn) sunFlux(hz float64) (receiver.SunFlux, error) {
	return t.s.Receiver.Reports.Flux(hz, t.in.At, t.s.Receiver.Confirmed)
}

// solarFlux is the Sun's flux on the band in use for what is to be expected, W m⁻² Hz⁻¹: as a measurement takes it, or
// else by the solar cycle; 0 where neither is known.
func (t *turn) solarFlux() float64 {
	hz := t.c.Settings.Bands[t.s.Band].MHz * 1e6
	sun, err := t.sunFlux(hz)
	if err != nil {
		sun, _ = receiver.ExpectedSun(hz, t.in.At) // 0 where none is known
	}
	return sun.Flux
}

// antenna is what the antenna hears with on the band and feed in use; nil where it is no dish at all on this band.
func (t *turn) antenna() *radio.Antenna {
	return t.s.Radio.AntennaOf(t.c, t.s.Band, t.s.Feed, t.solarFlux())
}

// measureY begins a Y factor, or says why not.
func (t *turn) measureY() {
	s, c := t.s, t.c
	s.NudgeAt = t.in.Now
	run := &receiverRun{Band: s.Band, Feed: s.Feed, Choice: s.Choice, Trim: s.trim(c), At: t.in.Now}
	_, _, why := t.receiverQuestion()
	switch {
	case t.busy() != "":
		why = t.busy()
	case s.Aim != trackAim || !pursuing(t.in.Loop.Mode):
		why = "track the Sun, the Moon or a source first"
	case !t.heard():
		why = "there is no usable level now"
		if s.Peak.Flaw != Sound {
			why = s.Peak.Flaw.String()
		}
	case why == "":
		by := c.Beamwidth(s.Band, s.Feed).Mul(max(leastAside, c.Settings.Tracking.AsideBeamwidths))
		run.Side, why = t.beam().Colder(by)
	}
	if why != "" {
		t.say(Warning, "No Y factor measured: %s", why)
		return
	}
	s.Receiver.Run = run
	s.excurse(pointing.Excursion{})
	t.say(Normal, "The Y factor of %s is being measured", t.s.Choice.InWords())
}

// receiving takes the levels in and moves the sequence on.
func (t *turn) receiving() {
	r := t.s.Receiver.Run
	if r == nil {
		return
	}
	for i := range t.in.Measured {
		m := &t.in.Measured[i]
		if m.Flaw == Sound && m.Trusted && r.There && m.At.After(r.Begin) {
			r.Levels = append(r.Levels, powerOf(m.LevelDB))
		}
	}
	p := &t.s.Peak
	switch {
	case t.s.Aim != trackAim:
		t.endReceiving("tracking has ended")
	case t.s.Choice != r.Choice, t.s.Band != r.Band, t.s.Feed != r.Feed:
		t.endReceiving("target or band has changed")
	case t.s.trim(t.c) != r.Trim:
		t.endReceiving("the trim has been changed meanwhile")
	case t.in.Now-max(p.SoundAt, r.At) > peakAlone:
		why := "no level came"
		if p.Flaw != Sound {
			why = p.Flaw.String()
		}
		t.endReceiving(why)
	case !r.There:
		t.receiverComes(r)
	case t.in.At.Sub(r.Begin) > receiverLasts:
		t.nextStop(r)
	}
}

// on reports whether the stop under way is on the target.
func (r *receiverRun) on() bool { return len(r.Stops)%2 == 0 }

// receiverComes waits until the beam stands where the stop is.
func (t *turn) receiverComes(r *receiverRun) {
	d, _, ok := t.c.Place(r.Choice, t.in.At)
	want := r.Trim.Plus(t.s.Excursion.OffsetAt(t.in.At, d))
	is, _ := t.beam().Off(axesOf(t.in.Loop), t.in.At)
	off := unit.Angle(math.Hypot((is.Cross - want.Cross).Rad(), (is.El - want.El).Rad()))
	near := max(
		t.c.Beamwidth(t.s.Band, t.s.Feed).Mul(0.12),
		t.in.Loop.Axes[0].Step.Mul(1.5),
		t.in.Loop.Axes[1].Step.Mul(1.5),
	)
	switch {
	case t.in.Now-r.At > peakWay:
		t.endReceiving("the beam did not come to where it should be")
	case ok && off <= near && t.in.Now-r.At > receiverSettles:
		r.There, r.Begin, r.Levels = true, t.in.At.Add(meanLasts), nil
	}
}

// nextStop closes a stop, and goes on to the next or ends with the result.
func (t *turn) nextStop(r *receiverRun) {
	mean, scatter := meanOf(r.Levels)
	r.Stops = append(r.Stops, receiver.Stop{On: r.on(), Power: mean, Scatter: scatter, N: len(r.Levels)})
	r.There, r.At, r.Levels = false, t.in.Now, nil
	if len(r.Stops) == receiverStops {
		t.finishReceiving(r)
		return
	}
	if r.on() {
		t.s.excurse(pointing.Excursion{})
	} else {
		t.s.excurse(pointing.Excursion{Sideways: r.Side})
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
func (t *turn) finishReceiving(r *receiverRun) {
	s := t.s
	band, feed := t.c.Names(s.Band, s.Feed)
	res := &ReceiverResult{At: t.in.At, Band: band, Feed: feed, Target: t.s.Choice.BareName(), AsideRight: r.Side > 0}
	d, _, _ := t.c.Place(r.Choice, t.in.At)
	res.El = d.El
	y, sigma, err := receiver.YFactor(r.Stops)
	if err == nil {
		q, of, why := t.receiverQuestion()
		res.FluxOf, res.Doubt, res.FluxSFU = of.name, of.doubt, q.Flux/1e-22
		if why != "" {
			err = fmt.Errorf("%s", why)
		} else {
			res.Figures, err = receiver.Judge(y, sigma, q)
		}
	}
	s.Receiver.Run = nil
	s.excurse(pointing.Excursion{})
	s.Receiver.Last = res
	if err != nil {
		res.Why = err.Error()
		t.say(Warning, "The Y factor of %s is unusable: %s", t.s.Choice.InWords(), res.Why)
		return
	}
	s.keepResult(res)
	f := &res.Figures
	t.say(
		Normal,
		"Y factor of %s %.2f dB, G/T %.1f dB/K, system noise %.0f K",
		t.s.Choice.InWords(),
		f.YDB,
		f.GTDB,
		f.SystemK,
	)
}

// keepResult takes a result into the history.
func (s *State) keepResult(res *ReceiverResult) {
	results := append([]ReceiverResult(nil), s.Receiver.Results...)
	if results = append(results, *res); len(results) > mostResults {
		results = results[len(results)-mostResults:]
	}
	s.Receiver.Results = results
}

// endReceiving ends the sequence without a result.
func (t *turn) endReceiving(why string) {
	s := t.s
	if s.Receiver.Run == nil {
		return
	}
	s.Receiver.Run = nil
	s.excurse(pointing.Excursion{})
	t.say(Notice, "No Y factor measured: %s", why)
}

// receiverStatus is how the measuring of the receiver stands.
func (t *turn) receiverStatus() Receiving {
	s := t.s
	v := &s.Receiver
	out := Receiving{Last: v.Last, Before: v.Results, Reports: v.Reports}
	var err error
	if out.Sun, err = t.sunFlux(t.c.Settings.Bands[t.s.Band].MHz * 1e6); err != nil {
		out.SunWhy, out.SunOld = err.Error(), errors.Is(err, receiver.ErrOld)
	}
	e := t.receivable()
	out.Expected, out.Why, out.HasExpected = e.figures, e.why, e.why == ""
	if r := v.Run; r != nil {
		out.Running = true
		where, at := "off ", "Off "
		if r.on() {
			where, at = "onto ", "On "
		}
		out.Doing = at + t.s.Choice.InWords()
		if !r.There {
			out.Doing = "Slewing " + where + t.s.Choice.InWords()
		}
		out.Part = float64(len(r.Stops)) / receiverStops
	}
	out.Dip = Dip{Plan: v.DipPlan, Last: v.DipLast, Before: v.Dips}
	t.seriesStatus(&out)
	return out
}
