package desk

import (
	"math"
	"slices"
	"time"

	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// OwnEcho is the measurement of the station's own echoes: what one would do, how the newest stands, what they found.
// It is not changed once published.
type OwnEcho struct {
	// Why says why there can't be one now; empty where there can. The permit isn't judged: it is asked for.
	Why message.Message
	// Plan is what a run of so many cycles would do, nil where the path isn't known; ReceiveDialHz and TransmitDialHz
	// are its dials, EchoHz where it will be heard.
	Plan                                  *ownecho.Config
	ReceiveDialHz, TransmitDialHz, EchoHz float64
	// MoonUp says that the beam follows the Moon, which is up.
	MoonUp bool
	// Waiting is for the permit; then Request is the run that is asked for, nil for none.
	Waiting bool
	Request *ownecho.Request
	// Progress is of the newest run.
	Progress ownecho.Progress
	// Place is the place of a peak at which the beam stands, -1 on the way; Off where the beam is from the Moon, trim
	// included.
	Place int
	Off   mount.Offset
	// Last is the newest result of this session, nil for none; Before are those kept, newest last.
	Last   *ownecho.Result
	Before []ownecho.Result
	// Usable says that the trim of the newest peak on the echo may be applied now.
	Usable bool
}

// echoesState is what is carried from step to step.
type echoesState struct {
	Cycles  int
	Number  uint64 // of the newest press
	Waiting bool   // for the permit
	Asked   step.Nanos
	Own     bool // the permit was requested for it
	Request *ownecho.Request
	Told    uint64 // the run of which the end was told
	Answer  uint64 // the run whose answer was taken
	Plan    *ownecho.Config
	MoonUp  bool
	Why     message.Message
	Against permit.Inhibit // of the permit, in the step before; None for nothing
	Budget  radio.EchoBudget
	Last    *ownecho.Result
	Results []ownecho.Result
	Peak    echoPeakState
}

const (
	// permitComes is how long the permit is waited for.
	permitComes  = 8 * time.Second
	maxOwnEchoes = 500
)

// take takes up what was kept.
func (e *echoesState) take(kept []ownecho.Result) {
	e.Results = slices.DeleteFunc(slices.Clone(kept), func(r ownecho.Result) bool { return !r.Keepable() })
}

func (o MeasureEchoes) obey(t *work) {
	e := &t.s.Echoes
	switch cycles := min(o.Cycles, ownecho.MaxCycles); {
	case cycles > 0 && e.Peak.Wanted:
		e.Peak.Cycles = cycles - cycles%ownecho.Places
	case cycles > 0:
		e.Cycles = cycles
	}
	switch {
	case !o.On && o.Cycles == 0:
		t.endEchoes(message.Of("desk.ended-by-operator"))
		return
	case !o.On:
		return
	}
	t.s.NudgeAt = t.in.Now
	why := t.busy()
	if why.Code == "" {
		why = e.Why
	}
	if why.Code == "" && e.Plan == nil {
		why = message.Of("echoes.worked-out")
	}
	if why.Code == "" && e.Plan.Peak {
		why = t.noEchoPeak(e.Plan)
	}
	if why.Code != "" {
		t.say(Warning, "echoes.none", why)
		return
	}
	e.Number++
	e.Waiting, e.Asked, e.Own = true, t.in.Now, !t.s.Permit.Requested
	if e.Own {
		t.press.Request = true
	}
}

// echoes follows the measurement: it begins with the permit, and takes what it finds.
func (t *work) echoes() {
	e, p := &t.s.Echoes, &t.in.OwnEcho
	switch {
	case !e.Waiting:
	case t.in.Loop.Permit.Granted && !t.in.Loop.Permit.Keyed:
		t.requestEchoes()
	case t.in.Now-e.Asked > permitComes:
		t.endEchoes(t.notPermitted())
	case !t.s.Permit.Requested && t.in.Now-e.Asked > pointing.Acknowledge:
		t.endEchoes(message.Of("echoes.permit-refused"))
	}
	t.moveEchoPeak()
	over := !p.Running && (p.Refused.Code != "" || p.Complete || p.Ended.Code != "")
	if r := e.Request; r != nil && p.Run == r.Number && e.Told != p.Run && over {
		t.echoesEnded()
	}
	if p.Found != nil && p.Final && p.Run != 0 && e.Answer != p.Run && p.Run == e.Number {
		e.Answer = p.Run
		t.takeEchoes(*p.Found)
	}
}

// requestEchoes asks whoever keys for the run that was pressed for.
func (t *work) requestEchoes() {
	e := &t.s.Echoes
	plan := *e.Plan
	plan.Seed = uint64(t.in.At.UnixNano())
	e.Waiting = false
	e.Request = &ownecho.Request{Number: e.Number, Config: plan, Stops: t.in.Stops, MHz: plan.TransmitHz / 1e6,
		SpreadHz: e.Budget.SpreadHz}
	if plan.Peak {
		t.beginEchoPeak()
	}
	t.say(Notice, "echoes.begun", plan.Cycles, plan.Transmits().Seconds())
}

// cycles is how many cycles the next run has.
func (e *echoesState) cycles() int {
	switch {
	case e.Peak.Wanted && e.Peak.Cycles > 0:
		return e.Peak.Cycles
	case e.Peak.Wanted:
		return ownecho.PeakCycles[0]
	case e.Cycles > 0:
		return e.Cycles
	}
	return ownecho.UsualCycles[0]
}

// endEchoes ends a measurement, or the wait for the permit.
func (t *work) endEchoes(why message.Message) {
	e := &t.s.Echoes
	switch {
	case e.Waiting:
		e.Waiting = false
		t.say(Notice, "echoes.none", why)
		t.leavePermit()
	case e.Request != nil && t.in.OwnEcho.Run != e.Request.Number:
		t.dropEchoes() // it has not begun
		t.leavePermit()
	case e.Request != nil:
		t.echoesEndedBy(why)
	}
}

// leavePermit withdraws the permit that was requested for the measurement.
func (t *work) leavePermit() {
	if t.s.Echoes.Own {
		t.press.Withdraw, t.press.Request = true, false
	}
}

// echoesEnded tells how a run ended by itself.
func (t *work) echoesEnded() {
	p := &t.in.OwnEcho
	switch {
	case p.Refused.Code != "":
		t.echoesEndedBy(p.Refused)
	case p.Complete:
		t.echoesEndedBy(message.Message{})
	default:
		t.echoesEndedBy(p.Ended)
	}
}

// echoesEndedBy ends a run: the request goes, and with it whatever still keys; and the permit that was requested for
// it.
func (t *work) echoesEndedBy(why message.Message) {
	e, p := &t.s.Echoes, &t.in.OwnEcho
	e.Told = e.Number
	t.dropEchoes()
	if why.Code != "" {
		t.say(Warning, "echoes.ended", ownecho.CyclesOf(p.Counted), why)
	}
	t.leavePermit()
	if p.StillKeyed {
		t.press.Withdraw = true
		t.say(AlarmGrade, "echoes.still-keyed")
	}
}

// takeEchoes takes what a run found.
func (t *work) takeEchoes(r ownecho.Result) {
	e := &t.s.Echoes
	r.At = t.in.At
	r.Band, r.Feed = t.c.Names(t.s.Band, t.s.Feed)
	d, _, _ := t.c.Place(t.c.Moon(), t.in.At)
	r.El = d.El
	r.Compare(e.Budget)
	e.Last, e.Peak.Used = &r, false
	switch {
	case r.Why.Code != "":
		t.say(Warning, "echoes.no-answer", r.Why)
		return
	case r.Detected:
		t.say(Normal, "echoes.found", r.CN0DBHz, r.CN0ErrorDB,
			ownecho.InBandwidthDB(r.CN0DBHz), ownecho.BandwidthHz, r.OffsetHz, r.OffsetErrorHz)
	default:
		t.say(Notice, "echoes.not-found", ownecho.CyclesOf(r.Cycles))
	}
	t.sayEchoPeak(r.Peak)
	kept := r
	kept.Peak = nil
	e.Results = append(slices.Clone(e.Results), kept)
	if over := len(e.Results) - maxOwnEchoes; over > 0 {
		e.Results = e.Results[over:]
	}
}

// echoesStatus is what may be known of it, with the path of the moment.
func (t *work) echoesStatus(path *radio.Path) OwnEcho {
	e, s := &t.s.Echoes, t.s
	if e.Against = (permit.Inhibit{}); len(t.inhibits) > 0 {
		e.Against = t.inhibits[0]
	}
	e.MoonUp = path != nil && path.Up && s.Aim == trackAim && s.Choice.Kind == Moon
	out := OwnEcho{MoonUp: e.MoonUp, Waiting: e.Waiting, Request: e.Request, Progress: t.in.OwnEcho,
		Last: e.Last, Before: e.Results, Usable: t.echoPeakUsable()}
	out.Place, out.Off = t.echoPlace()
	if e.Plan = nil; path != nil {
		e.Budget = path.Budget
		plan := t.echoesPlan(path)
		e.Plan, out.Plan, out.EchoHz = &plan, &plan, plan.EchoHz(t.in.At)
		converter := radio.ConverterOf(&t.c.Settings.Bands[s.Band])
		out.ReceiveDialHz, out.TransmitDialHz = converter.Dial(plan.ReceiveHz), converter.Dial(plan.TransmitHz)
	}
	e.Why = t.echoesBlocked()
	out.Why = e.Why
	return out
}

// echoesPlan is what a run would do now.
func (t *work) echoesPlan(path *radio.Path) ownecho.Config {
	c := t.c
	plan := ownecho.FromSettings(c.Settings.Keying)
	plan.Cycles, plan.ToneHz, plan.Sky, plan.Here = t.s.Echoes.cycles(), c.Settings.Audio.PitchHz, c.Sky, c.Site()
	receive, transmit := math.NaN(), math.NaN()
	if d := t.in.Dialled; d.Has {
		converter := radio.ConverterOf(&c.Settings.Bands[t.s.Band])
		receive, transmit = converter.Air(d.ReceiveHz), converter.Air(d.TransmitHz)
	}
	if plan.Peak = t.s.Echoes.Peak.Wanted; plan.Peak {
		plan.Reach = ownecho.Reach(c.Beamwidth(t.s.Band, t.s.Feed), c.Settings.Permit.OffTargetBeamwidths)
	}
	plan.Tune(path.AgreedHz, transmit, receive, t.in.At)
	return plan
}

// echoesBlocked says why there can't be a measurement now; empty where there can.
func (t *work) echoesBlocked() message.Message {
	e, p := &t.s.Echoes, &t.in.OwnEcho
	switch {
	case !p.Has || t.c.Settings.Keying.Output == "":
		return message.Of("echoes.no-output")
	case t.c.Settings.Audio.Sideband != settings.UpperSideband:
		return message.Of("echoes.sideband")
	case e.Plan == nil:
		return message.Of("echoes.worked-out")
	case !e.MoonUp:
		return message.Of("echoes.track-moon")
	case !t.s.Acquired && e.Request == nil:
		return message.Of("desk.on-its-way", "the Moon")
	case p.Trouble != "" && !p.Running:
		return message.Text(p.Trouble)
	case !e.Plan.Heard(t.in.At):
		return message.Of("echoes.dials-apart")
	}
	return message.OfError(e.Plan.Validate())
}

// notPermitted says that the permit did not come, and what stood against it.
func (t *work) notPermitted() message.Message {
	if against := t.s.Echoes.Against; against.Code != permit.None {
		return message.Of("echoes.not-permitted-for", against.Message())
	}
	return message.Of("echoes.not-permitted")
}
