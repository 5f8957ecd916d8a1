package desk

import (
	"math"
	"time"

	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// obey does what the operator asks, proposes it where it would slew the dish without
// saying so, or says why not.
func (t *work) obey(o Order) {
	if o.Kind == Confirm {
		t.confirm()
		return
	}
	if t.in.TimeScale > 1 && needsRealTime(o) {
		t.say(Warning, "Not started: practice time runs %d times as fast; measurements are made in real time",
			t.in.TimeScale)
		return
	}
	if !t.propose(o) {
		t.obeyNow(o)
	}
}

// obeyNow does what the operator asks, or says why not.
func (t *work) obeyNow(o Order) {
	s := t.s
	t.intervene(o)
	t.overtake(o)
	switch o.Kind {
	case Release:
		t.ask(step.Release{})
	case Track, Hold, SlewTo, Park, WindStow, SnowStow, Nudge, Jog:
		t.move(o)
	case Choose, BandTo, TrimTo, TrimBack, UsePeak, UseEchoPeak, UseModel, ModelBack:
		t.change(o)
	case Power:
		if !o.On {
			s.seek(noAim, t.in.Now)
		}
		t.ask(step.Power{On: o.On, Asked: true})
	case Working:
		t.working(o.On)
	case Permit:
		t.press.Request, t.press.Withdraw = o.On, !o.On
	case BeamOnTarget, ReferenceTo, UndoReference:
		t.reference(o)
	case Acknowledge:
		s.Watch.Alarms = s.Watch.Alarms.See(o.Index)
	case Shelve:
		s.Watch.Alarms = s.Watch.Alarms.Shelve(o.Index, t.in.At.Add(ShelveTime))
	case TakeColdSky:
		t.measure(measuring.TakeColdSky{})
	case Preamplifier, NoiseSource:
		bit := enclosure.OutputPreamplifier
		if o.Kind == NoiseSource {
			bit = enclosure.OutputNoiseSource
		}
		switched := s.Outputs &^ bit
		if o.On {
			switched |= bit
		}
		t.outputs(switched)
	case CancelWarning:
		if s.Proposal.Pending {
			s.Proposal = proposal{}
			return
		}
		if s.Aim == windAim {
			s.seek(noAim, t.in.Now)
		}
		t.ask(step.CancelStow{})
		t.ask(step.CancelStart{})
	default:
		t.prepare(o)
	}
}

// prepare obeys the orders about the radio path, the plan and the noise.
func (t *work) prepare(o Order) {
	switch o.Kind {
	case PartnerTo, PartnersTo, ContentTo, ConventionTo, AgreedTo:
		t.path(o)
	case PeriodsTo:
		t.warn(t.s.Radio.SetPeriods(o.Index, o.On))
	case ModeTo:
		t.s.Radio.SetMode(o.Index)
	case PlanTo:
		t.s.Radio.LookAtMonth(o.Index)
	case OtherPartnersTo:
		t.warn(t.s.Radio.SetOtherPartner(o.Words, o.On))
	case SkedsTo:
		t.warn(t.s.Radio.SetSkeds(o.On, o.Index))
	case DatesTo:
		t.warn(t.s.Radio.SetDate(o.Words, o.On))
	case TimeScaleTo:
		t.scaleTime(o.Index)
	case ShadingTo:
		t.s.Radio.SetShading(o.On)
	case LookAt:
		t.s.Radio.Month.Then = o.At
	case Arm:
		if o.On {
			t.arm(o.At)
		} else {
			t.disarm(Normal, "disarmed by the operator")
		}
	case OffSource:
		t.offSource(o.On)
	case EndJob:
		t.measure(measuring.EndJob{})
		t.endEchoes("ended by the operator")
	case MeasureEchoes:
		t.orderEchoes(o)
	case EchoPeakTo:
		t.s.Echoes.Peak.Wanted = o.On
	case Slept:
		t.say(Warning, "The computer was asleep for %d s: what moved is stopped", o.Index)
	case NowUsual:
		for _, learned := range t.s.Watch.SetBaseline(o.Words) {
			t.say(Notice, "Baseline learned again: %s", learned)
		}
	case Commission:
		t.commission(o.Commission)
	case Push:
		t.push(o)
	default:
		if m := measuringOrder(o); m != nil {
			t.measure(m)
		}
	}
}

// path obeys the orders about the path by way of the Moon.
func (t *work) path(o Order) {
	switch o.Kind {
	case PartnerTo:
		t.warn(t.s.Radio.SetPartner(o.Words))
	case PartnersTo:
		t.warn(t.s.Radio.SetPartners(t.c, o.Words))
	case ContentTo:
		t.warn(t.s.Radio.SetContent(o.Index, t.in.At))
	case ConventionTo:
		t.s.Radio.SetConvention(o.Index)
	case AgreedTo:
		t.warn(t.s.Radio.SetAgreed(&t.c.Settings.Bands[t.s.Band], o.Words))
	}
}

// move obeys the orders that move the dish.
func (t *work) move(o Order) {
	s, c := t.s, t.c
	switch o.Kind {
	case Track:
		if o.On {
			t.track()
			return
		}
		fallthrough
	case Hold:
		s.seek(noAim, t.in.Now)
		t.ask(step.Hold{})
	case SlewTo:
		t.goTo(slewAim, mount.AxisAngles{Az: o.Az, El: o.El}, true)
	case Park:
		t.goTo(parkAim, station.PlaceOf(c.Settings.Park), true)
	case WindStow:
		t.goTo(windAim, station.PlaceOf(c.Settings.WindStow), true)
	case SnowStow:
		t.goTo(snowAim, station.PlaceOf(c.Settings.SnowStow), true)
	case Nudge:
		t.nudge(mount.Offset{Cross: o.Az, El: o.El})
	case Jog:
		t.jog(o)
	}
}

// choose makes a body the target. What was tracked is not: the dish holds
// until Track is pressed for the new one, unless it tracks already.
func (t *work) choose(b station.Target) {
	s := t.s
	if _, _, ok := t.c.Place(b, t.in.At); !ok {
		t.say(Warning, "No such target: %s", b.Name)
		return
	}
	if b == s.Choice {
		return
	}
	s.Choice = b
	s.Route = pointing.Route{}
	s.HasBack = false
	s.TargetAt = time.Time{}
	s.SceneAt = time.Time{}
	if s.Aim == trackAim || s.Aim == waitAim {
		t.track()
	}
}

// track starts to follow the target, or waits at its rising place.
func (t *work) track() {
	s, c, in := t.s, t.c, t.in
	s.NudgeAt = in.Now
	d, _, ok := c.Place(s.Choice, in.At)
	switch {
	case !ok:
		t.say(Warning, "Choose a target first")
	case !pointing.Referenced(t.in.Loop):
		t.say(Warning, "Not started: the axes are not referenced; set the reference first")
	case d.El >= c.Least():
		s.Route = pointing.Route{}
		if there, ok := t.beam().AxesAt(in.At); ok {
			if why := t.beam().Refused(there); why != "" {
				t.say(Warning, "Not started: %s", why)
				return
			}
		}
		t.start(trackAim, mount.AxisAngles{})
	default:
		t.waitForRise()
	}
}

// waitForRise takes the dish to where the target will rise.
func (t *work) waitForRise() {
	s, c, in := t.s, t.c, t.in
	body, ok := s.Choice.Body()
	if !ok {
		t.say(Warning, "Not started: this place lies below %.1f°", c.Least().Deg())
		return
	}
	rise, ok := c.Sky.NextRise(c.Site(), body, c.Air(), c.Least(), in.At, lookAhead)
	if !ok {
		t.say(Warning, "Not started: %s does not rise within %d hours", t.s.Choice.InWords(), int(lookAhead.Hours()))
		return
	}
	s.Route = t.beam().Plan(rise, in.Loop.Axes[mount.Azimuth].Position)
	there, ok := t.beam().OnRoute(rise)
	if !ok {
		return
	}
	if why := t.beam().Refused(there); why != "" {
		t.say(Warning, "Not started: %s", why)
		return
	}
	t.say(Normal, "Waiting for %s, which rises at %s", t.s.Choice.InWords(), rise.Format("15:04:05"))
	t.start(waitAim, there)
}

// nudge moves the trim while tracking and the setpoint while holding.
func (t *work) nudge(o mount.Offset) {
	s, loop := t.s, t.in.Loop
	s.NudgeAt = t.in.Now
	if s.Aim == trackAim || s.Aim == waitAim {
		t.setTrimBy(o, true)
		return
	}
	from := pointing.Commanded(loop)
	to := from.Shift(o)
	s.seek(noAim, t.in.Now)
	t.ask(step.SetpointBy{By: mount.AxisAngles{Az: to.Az - from.Az, El: to.El - from.El}, Asked: true})
}

func (t *work) setTrimBy(o mount.Offset, keepBack bool) {
	t.s.setTrim(t.c, t.s.trim(t.c).Plus(o), t.in.At, keepBack)
}

// jog moves the axes by hand; while tracking it moves the trim steadily instead.
func (t *work) jog(o Order) {
	s := t.s
	s.NudgeAt = t.in.Now
	x, y := math.Copysign(
		min(1, math.Abs(o.Az.Rad())),
		o.Az.Rad(),
	), math.Copysign(
		min(1, math.Abs(o.El.Rad())),
		o.El.Rad(),
	)
	if s.Aim == trackAim || s.Aim == waitAim {
		// A quarter of a beamwidth a second, for orders renewed ten times a second.
		by := t.c.Beamwidth(s.Band, s.Feed).Mul(0.025)
		t.setTrimBy(mount.Offset{Cross: by.Mul(x), El: by.Mul(y)}, false)
		return
	}
	if s.Aim != noAim {
		s.seek(noAim, t.in.Now)
	}
	t.ask(step.Jog{AzSpeed: x, ElSpeed: y, Asked: true})
}

func (t *work) trimBack() {
	s := t.s
	if !s.HasBack {
		return
	}
	s.NudgeAt = t.in.Now
	s.setTrim(t.c, s.Back, t.in.At, true)
}

// bandTo selects band and feed: beamwidth, trim, squint, meter and closed
// sectors follow from them.
func (t *work) bandTo(band, feed int) {
	s := t.s
	if band < 0 || band >= len(t.c.Settings.Bands) || feed < 0 || feed >= len(t.c.Settings.Bands[band].Feeds) {
		return
	}
	if band == s.Band && feed == s.Feed {
		return
	}
	s.Band, s.Feed = band, feed
	s.HasBack, s.HasCourse, s.SentSlow = false, false, false
	s.Tolerated = 0
	s.SceneAt = time.Time{}
	s.Radio.Changed()
	name, feedName := t.c.Names(s.Band, s.Feed)
	t.say(Normal, "Band %s, feed %s", name, feedName)
}

// reference makes the position trusted, by what the operator says.
func (t *work) reference(o Order) {
	s, c, in := t.s, t.c, t.in
	switch o.Kind {
	case UndoReference:
		t.undoReference()
	case ReferenceTo:
		t.giveReference(o.Index, o.Az, mount.ByHand, nil)
	case BeamOnTarget:
		axes, ok := t.beamAxes()
		if !ok {
			t.say(Warning, "Not referenced: the target is not up")
			return
		}
		trim := s.trim(c)
		s.setTrim(c, mount.Offset{}, in.At, true)
		t.giveReference(mount.Azimuth, axes.Az, mount.ByBeam, &trim)
		t.giveReference(mount.Elevation, axes.El, mount.ByBeam, nil)
	}
}
