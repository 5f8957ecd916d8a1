package desk

import (
	"time"

	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// obey does what the operator asks, proposes it where it would slew the dish without
// saying so, or says why not.
func (t *work) obey(o Order) {
	if c, ok := o.(Confirm); ok {
		c.obey(t)
		return
	}
	if t.in.TimeScale > 1 && needsRealTime(o) {
		t.say(Warning, "desk.real-time-only",
			t.in.TimeScale)
		return
	}
	if !t.propose(o) {
		t.obeyNow(o)
	}
}

// obeyNow does what the operator asks, or says why not.
func (t *work) obeyNow(o Order) {
	t.intervene(o)
	t.overtake(o)
	o.obey(t)
}

func (Stop) obey(t *work)     { t.stop() }
func (Release) obey(t *work)  { t.ask(step.Release{}) }
func (o Choose) obey(t *work) { t.choose(t.c.Target(o.Body)) }

func (o Track) obey(t *work) {
	if o.On {
		t.track()
		return
	}
	Hold{}.obey(t)
}

func (Hold) obey(t *work) {
	t.s.seek(noAim, t.in.Now)
	t.ask(step.Hold{})
}

func (o SlewTo) obey(t *work) { t.goTo(slewAim, o.To, true) }
func (Park) obey(t *work)     { t.goTo(parkAim, station.PlaceOf(t.c.Settings.Park), true) }
func (WindStow) obey(t *work) { t.goTo(windAim, station.PlaceOf(t.c.Settings.WindStow), true) }
func (SnowStow) obey(t *work) { t.goTo(snowAim, station.PlaceOf(t.c.Settings.SnowStow), true) }

func (o TrimTo) obey(t *work) {
	t.s.NudgeAt = t.in.Now
	t.s.setTrim(t.c, o.Trim, t.in.At, true)
}

func (o Power) obey(t *work) {
	if !o.On {
		t.s.seek(noAim, t.in.Now)
	}
	t.ask(step.Power{On: o.On, Asked: true})
}

func (o Working) obey(t *work) { t.working(o.On) }
func (o Permit) obey(t *work)  { t.press.Request, t.press.Withdraw = o.On, !o.On }

func (CancelWarning) obey(t *work) {
	s := t.s
	if s.Proposal.Pending {
		s.Proposal = proposal{}
		return
	}
	if s.Aim == windAim {
		s.seek(noAim, t.in.Now)
	}
	t.ask(step.CancelStow{})
	t.ask(step.CancelStart{})
}

func (o Arm) obey(t *work) {
	if o.On {
		t.arm(o.At)
	} else {
		t.disarm(Normal, message.Of("armed.by-operator"))
	}
}

func (o OffSource) obey(t *work) { t.offSource(o.On) }

func (o Acknowledge) obey(t *work) { t.s.Watch.Alarms = t.s.Watch.Alarms.See(o.Alarm) }
func (o Shelve) obey(t *work) {
	t.s.Watch.Alarms = t.s.Watch.Alarms.Shelve(o.Alarm, t.in.At.Add(ShelveTime))
}

func (o PartnerTo) obey(t *work)    { t.warn(t.s.Radio.SetPartner(o.Name)) }
func (o PartnersTo) obey(t *work)   { t.warn(t.s.Radio.SetPartners(t.c, o.CSV)) }
func (o ContentTo) obey(t *work)    { t.warn(t.s.Radio.SetContent(o.TECU, t.in.At)) }
func (o ConventionTo) obey(t *work) { t.s.Radio.SetConvention(o.Index) }
func (o AgreedTo) obey(t *work) {
	t.warn(t.s.Radio.SetAgreed(&t.c.Settings.Bands[t.s.Band], o.MHz))
}
func (o PeriodsTo) obey(t *work)       { t.warn(t.s.Radio.SetPeriods(o.Seconds, o.OursFirst)) }
func (o ModeTo) obey(t *work)          { t.s.Radio.SetMode(o.Index) }
func (o PlanTo) obey(t *work)          { t.s.Radio.LookAtMonth(o.Months) }
func (o PlanOf) obey(t *work)          { t.warn(t.s.Radio.PlanOf(t.c.Target(o.Body))) }
func (o OtherPartnersTo) obey(t *work) { t.warn(t.s.Radio.SetOtherPartner(o.Name, o.On)) }
func (o SkedsTo) obey(t *work)         { t.warn(t.s.Radio.SetSkeds(o.On, o.Minutes)) }
func (o DatesTo) obey(t *work)         { t.warn(t.s.Radio.SetDate(o.Date, o.On)) }
func (o SavePlace) obey(t *work)       { t.warn(t.s.savePlace(o.Place)) }
func (o DeletePlace) obey(t *work)     { t.s.deletePlace(o.Name) }
func (o ShadingTo) obey(t *work)       { t.s.Radio.SetShading(o.On) }
func (o LookAt) obey(t *work)          { t.s.Radio.Month.Then = o.At }

func (o Slept) obey(t *work) {
	t.say(Warning, "desk.slept", o.Seconds)
}

func (o Preamplifier) obey(t *work) { t.switchOutput(enclosure.OutputPreamplifier, o.On) }
func (o NoiseSource) obey(t *work)  { t.switchOutput(enclosure.OutputNoiseSource, o.On) }
func (o EchoPeakTo) obey(t *work)   { t.s.Echoes.Peak.Wanted = o.On }

func (o NowUsual) obey(t *work) {
	for _, learned := range t.s.Watch.SetBaseline(o.Key) {
		t.say(Notice, "watching.learned", learned)
	}
}

func (EndJob) obey(t *work) {
	t.measure(measuring.EndJob{})
	t.endEchoes(message.Of("desk.ended-by-operator"))
}

func (o TakeColdSky) obey(t *work)  { t.measure(measuring.TakeColdSky(o)) }
func (o AverageTo) obey(t *work)    { t.measure(measuring.AverageTo(o)) }
func (o TakePeak) obey(t *work)     { t.measure(measuring.TakePeak(o)) }
func (o UsePeak) obey(t *work)      { t.measure(measuring.UsePeak(o)) }
func (o MeasureY) obey(t *work)     { t.measure(measuring.MeasureY(o)) }
func (o Compare) obey(t *work)      { t.measure(measuring.Compare(o)) }
func (o SkyDip) obey(t *work)       { t.measure(measuring.SkyDip(o)) }
func (o FluxTo) obey(t *work)       { t.measure(measuring.FluxTo(o)) }
func (o SurveyTo) obey(t *work)     { t.measure(measuring.SurveyTo(o)) }
func (o Exclude) obey(t *work)      { t.measure(measuring.Exclude(o)) }
func (o UseModel) obey(t *work)     { t.measure(measuring.UseModel(o)) }
func (o ModelBack) obey(t *work)    { t.measure(measuring.ModelBack(o)) }
func (o ForgetSurvey) obey(t *work) { t.measure(measuring.ForgetSurvey(o)) }
func (o CheckDish) obey(t *work)    { t.measure(measuring.CheckDish(o)) }

// choose makes a body the target. What was tracked is not: the dish holds
// until Track is pressed for the new one, unless it tracks already.
func (t *work) choose(b station.Target) {
	s := t.s
	if _, _, ok := t.c.Place(b, t.in.At); !ok {
		t.say(Warning, "desk.no-such-target", b.Name)
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
		t.say(Warning, "desk.no-target")
	case !pointing.Referenced(t.in.Loop):
		t.say(Warning, "desk.not-started", message.Of("desk.not-referenced"))
	case d.El >= c.Min():
		s.Route = pointing.Route{}
		if there, ok := t.beam().AxesAt(in.At); ok {
			if why := t.beam().Refused(there); why.Code != "" {
				t.say(Warning, "desk.not-started", why)
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
		t.say(Warning, "desk.place-low", c.Min())
		return
	}
	rise, ok := c.Sky.NextRise(c.Site(), body, c.Air(), c.Min(), in.At, lookAhead)
	if !ok {
		t.say(Warning, "desk.no-rise", t.s.Choice.InWords(), int(lookAhead.Hours()))
		return
	}
	s.Route = t.beam().Plan(rise, in.Loop.Axes[mount.Azimuth].Position)
	there, ok := t.beam().OnRoute(rise)
	if !ok {
		return
	}
	if why := t.beam().Refused(there); why.Code != "" {
		t.say(Warning, "desk.not-started", why)
		return
	}
	t.say(Normal, "desk.waiting", t.s.Choice.InWords(), rise)
	t.start(waitAim, there)
}

func (o Nudge) obey(t *work) {
	s, loop := t.s, t.in.Loop
	s.NudgeAt = t.in.Now
	if s.Aim == trackAim || s.Aim == waitAim {
		t.setTrimBy(o.By, true)
		return
	}
	from := pointing.Commanded(loop)
	to := from.Shift(o.By)
	s.seek(noAim, t.in.Now)
	t.ask(step.SetpointBy{By: mount.AxisAngles{Az: to.Az - from.Az, El: to.El - from.El}, Asked: true})
}

func (t *work) setTrimBy(o mount.Offset, keepBack bool) {
	t.s.setTrim(t.c, t.s.trim(t.c).Plus(o), t.in.At, keepBack)
}

// While tracking a jog moves the trim steadily instead.
func (o Jog) obey(t *work) {
	s := t.s
	s.NudgeAt = t.in.Now
	x, y := part(o.Az), part(o.El)
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

func (TrimBack) obey(t *work) {
	s := t.s
	if !s.HasBack {
		return
	}
	s.NudgeAt = t.in.Now
	s.setTrim(t.c, s.Back, t.in.At, true)
}

// Beamwidth, trim, squint, meter and closed sectors follow from band and feed.
func (o BandTo) obey(t *work) {
	s, band, feed := t.s, o.Band, o.Feed
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
	t.say(Normal, "desk.band", name, feedName)
}

func (UndoReference) obey(t *work) { t.undoReference() }
func (o ReferenceTo) obey(t *work) { t.giveReference(o.Axis, o.Angle, mount.ByHand, nil) }

func (BeamOnTarget) obey(t *work) {
	axes, ok := t.beamAxes()
	if !ok {
		t.say(Warning, "desk.target-down")
		return
	}
	trim := t.s.trim(t.c)
	t.s.setTrim(t.c, mount.Offset{}, t.in.At, true)
	t.giveReference(mount.Azimuth, axes.Az, mount.ByBeam, &trim)
	t.giveReference(mount.Elevation, axes.El, mount.ByBeam, nil)
}
