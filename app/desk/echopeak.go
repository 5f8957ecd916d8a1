package desk

import (
	"math"

	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem/echo"
)

// echoPeakState is what is carried of a peak on the echo.
type echoPeakState struct {
	Wanted bool // the next run is one
	Cycles int  // of it; 0 for the usual number
	// Place is where the beam is ordered, There that it has come there, At when it was ordered. Back: it goes to the
	// centre first, since from side to side it would be ordered further than the guard of a permitted beam allows.
	Place int
	There bool
	Back  bool
	At    step.Nanos
	Used  bool // the newest one's trim was applied or discarded
}

// settlesAtPlace is how long the beam must have been ordered to a place before it can stand there.
const settlesAtPlace = step.Nanos(1e9)

// noEchoPeak says what is in the way of a peak on the echo; empty for nothing.
func (t *work) noEchoPeak(plan *ownecho.Config) message.Message {
	beam := t.beam()
	if beam.Excursion != (pointing.Excursion{}) {
		return message.Of("echoes.off-source")
	}
	for place := range ownecho.Places {
		if why := beam.Within(plan.Offset(place)); why.Code != "" {
			return why
		}
	}
	d, _, _ := t.c.Place(t.s.Choice, t.in.At)
	later, _, _ := t.c.Place(t.s.Choice, t.in.At.Add(plan.Lasts()))
	switch {
	case min(d.El, later.El)-plan.Reach < t.c.Min():
		return message.Of("echoes.moon-low")
	case d.El.Cos() < 0.1:
		return message.Of("echoes.moon-zenith")
	}
	return message.Message{}
}

// beginEchoPeak adds to the request what is fitted, and begins at the centre, where the beam stands.
func (t *work) beginEchoPeak() {
	e := &t.s.Echoes
	width := t.c.Beamwidth(t.s.Band, t.s.Feed)
	e.Request.Trim = t.s.trim(t.c)
	e.Request.Beam = ownecho.Beam{Beam: echo.Beam{Hz: e.Request.Config.TransmitHz, HalfPower: width,
		Law: echo.CentreBright},
		MoonRadius: e.Budget.MoonRadius}
	if b := e.Budget; b.TransmitBeam > 0 {
		e.Request.Beam.HalfPower, e.Request.Beam.Back = b.TransmitBeam, b.ReceiveBeam
	}
	e.Peak.Place, e.Peak.There, e.Peak.Back, e.Peak.At = 0, true, false, t.in.Now
}

// moveEchoPeak takes the beam to the place that a peak under way wants, and sees it come there.
func (t *work) moveEchoPeak() {
	e, p := &t.s.Echoes, &t.in.OwnEcho
	r := e.Request
	if r == nil || !r.Config.Peak || p.Run != r.Number || !p.Running {
		return
	}
	if t.s.trim(t.c) != r.Trim {
		t.echoesEndedBy(message.Of("desk.trim-changed"))
		return
	}
	peak := &e.Peak
	if p.Place != peak.Place {
		peak.Back = peak.Place != 0
		peak.Place, peak.There = p.Place, false
		t.orderEchoPlace(r)
	}
	off, ok := t.echoOff()
	if peak.There || !ok || t.in.Now-peak.At <= settlesAtPlace {
		return
	}
	setpoint, axes := r.Trim.Plus(t.echoOffset(r)), t.in.Loop.Axes
	near := max(r.Config.Reach.Mul(0.25), axes[0].Step.Mul(1.5), axes[1].Step.Mul(1.5))
	came := math.Hypot((off.Cross-setpoint.Cross).Rad(), (off.El-setpoint.El).Rad()) <= near.Rad()
	if came && peak.Back {
		peak.Back = false
		t.orderEchoPlace(r)
		return
	}
	peak.There = came
}

// orderEchoPlace sends the beam on its next way.
func (t *work) orderEchoPlace(r *ownecho.Request) {
	t.s.Echoes.Peak.At = t.in.Now
	t.s.excurse(pointing.HeldAt(t.echoOffset(r)))
}

// echoOffset is where beside the trim the beam is sent: to its place, or to the centre before.
func (t *work) echoOffset(r *ownecho.Request) mount.Offset {
	if p := &t.s.Echoes.Peak; !p.Back {
		return r.Config.Offset(p.Place)
	}
	return mount.Offset{}
}

// echoOff is where the beam is from the target, trim included.
func (t *work) echoOff() (mount.Offset, bool) {
	return t.beam().Off(pointing.AxesOf(t.in.Loop), t.in.At)
}

// echoPlace is the place of a peak at which the beam stands, -1 on the way, and where the beam is.
func (t *work) echoPlace() (place int, off mount.Offset) {
	e := &t.s.Echoes
	if e.Request == nil || !e.Request.Config.Peak {
		return 0, off
	}
	off, ok := t.echoOff()
	if !ok || !e.Peak.There {
		return -1, off
	}
	return e.Peak.Place, off
}

// dropEchoes takes the request back; after a peak the beam goes back to the centre.
func (t *work) dropEchoes() {
	e := &t.s.Echoes
	if e.Request != nil && e.Request.Config.Peak {
		t.s.excurse(pointing.Excursion{})
	}
	e.Request = nil
}

// sayEchoPeak tells what a peak on the echo found; nil for none.
func (t *work) sayEchoPeak(p *ownecho.Peak) {
	switch {
	case p == nil:
	case p.Why.Code != "":
		t.say(Warning, "echoes.peak-unusable", p.Why)
	default:
		t.say(Normal,
			"echoes.peak",
			p.Found.Cross, p.Error.Cross, p.Found.El, p.Error.El)
	}
}

// echoPeakUsable reports whether the trim of the newest peak on the echo may be applied now.
func (t *work) echoPeakUsable() bool {
	e := &t.s.Echoes
	r := e.Last
	if r == nil || r.Peak == nil || r.Peak.Why.Code != "" || e.Peak.Used || t.measuresEchoes() ||
		t.s.Choice.Kind != station.Moon {
		return false
	}
	band, feed := t.c.Names(t.s.Band, t.s.Feed)
	found := r.Peak.Found
	return r.Band == band && r.Feed == feed && max(math.Abs(found.Cross.Deg()),
		math.Abs(found.El.Deg())) <= pointing.MaxTrim
}

func (o UseEchoPeak) obey(t *work) {
	s := t.s
	switch {
	case !t.echoPeakUsable():
		t.say(Warning, "echoes.no-new-peak")
	case !o.On:
		s.Echoes.Peak.Used = true
		t.say(Normal, "echoes.peak-discarded")
	default:
		found := s.Echoes.Last.Peak.Found
		s.NudgeAt, s.Echoes.Peak.Used = t.in.Now, true
		s.setTrim(t.c, found, t.in.At, true)
		t.say(Normal, "echoes.trim", found.Cross, found.El)
	}
}
