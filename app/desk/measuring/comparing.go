package measuring

import (
	"math"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// coldAt is where cold sky is looked for first, degrees of elevation.
const coldAt = 60

// compare begins a comparison with the ground at which the dish holds, or of the noise source.
func (w *work) compare(source bool) {
	s := w.s
	w.pressed()
	run := &series{Band: w.in.Band, Feed: w.in.Feed, Begun: w.in.Now, At: w.in.Now, Was: w.in.Outputs}
	if source {
		run.Kind = sourceSeries
	}
	why := w.busy()
	switch {
	case why.Code != "":
	case s.Rounds.Running:
		why = message.Of("measuring.survey-runs")
	case !w.heard():
		why = message.Of("measuring.no-level-now")
	case !source:
		why = w.groundFor(run)
	}
	if why.Code != "" {
		w.say(alarm.Warning, "yfactor.none", why)
		return
	}
	s.Receiver.Series = run
	w.switchSource(run)
	w.say(alarm.Normal, "yfactor.begun", run.name())
}

// groundFor finds the places of a comparison with the ground; why says why there are none.
func (w *work) groundFor(r *series) (why message.Message) {
	loop := w.in.Loop
	ground := pointing.AxesOf(loop)
	below := -w.c.OverHorizon(ground)
	switch {
	case !pointing.Referenced(w.in.Loop):
		return message.Of("desk.not-referenced")
	case w.in.Tracking || loop.Mode != step.Holding:
		return message.Of("yfactor.hold-on-ground")
	case below < -w.c.Beamwidth(w.in.Band, w.in.Feed).Mul(0.25):
		return message.Of("yfactor.sees-sky")
	}
	for _, el := range [...]float64{coldAt, coldAt + 20, coldAt - 15} {
		cold := mount.AxisAngles{Az: ground.Az, El: degrees(el)}
		free := w.c.Allowed(cold) && w.in.Beam.Refused(cold).Code == "" &&
			!w.c.NearSunOrMoon(directionOf(cold), degrees(fromSunMoon), w.in.At)
		if free {
			for i := range compareStops {
				r.Places = append(r.Places, [...]mount.AxisAngles{ground, cold}[i%2])
			}
			return message.Message{}
		}
	}
	return message.Of("yfactor.no-cold-sky")
}

// directionOf is where in the sky axis angles look, corrections left out: good
// to what they come to, and that is enough to know ground from sky.
func directionOf(axes mount.AxisAngles) mount.SkyDirection {
	d := axes.Uncorrected()
	d.Az = d.Az.Mod1()
	return d
}

// finishComparison judges the Y factor.
func (w *work) finishComparison(r *series) {
	s := w.s
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	res := &ReceiverResult{
		At:     w.in.At,
		Band:   band,
		Feed:   feed,
		Target: r.name(),
		El:     w.in.Loop.Axes[mount.Elevation].Position,
	}
	y, sigma, err := receiver.YFactor(r.Stops)
	switch {
	case err != nil:
	case y <= 1:
		err = message.Of("yfactor.no-louder", r.name())
	default:
		warm, warmError, cold := w.comparedWith(r)
		res.Figures = receiver.Compare(y, sigma, warm, warmError, cold)
		if r.Kind == groundSeries {
			res.ColdEl, res.WarmK = r.Places[1].El, warm-w.in.Antenna.Listener.Receiver.K()
		}
	}
	w.leaveSeries(r)
	s.Receiver.Last = res
	if err != nil {
		res.Why = message.OfError(err)
		w.say(alarm.Warning, "yfactor.unusable", r.name(), res.Why)
		return
	}
	s.keepResult(res)
	if res.Figures.SystemK > 0 {
		w.say(alarm.Normal, "yfactor.compared-system", r.name(), res.Figures.YDB, res.Figures.SystemK)
		return
	}
	w.say(alarm.Normal, "yfactor.compared", r.name(), res.Figures.YDB)
}

// comparedWith is what should be heard of both, kelvin, and how well the warm one is known: of the noise source its
// excess is known where the feed's settings tell it. A warmK of 0: not known.
func (w *work) comparedWith(r *series) (warmK, warmErrorK, coldK float64) {
	if r.Kind == sourceSeries {
		here := pointing.AxesOf(w.in.Loop)
		coldK = w.in.Antenna.SystemK(w.c, directionOf(here), w.in.At)
		excess := w.c.Settings.Bands[w.in.Band].Feeds[w.in.Feed].NoiseSourceK
		if excess <= 0 {
			return 0, 0, coldK
		}
		return coldK + excess, sourceKShare * excess, coldK
	}
	warmK = w.in.Antenna.SystemK(w.c, directionOf(r.Places[0]), w.in.At)
	coldK = w.in.Antenna.SystemK(w.c, directionOf(r.Places[1]), w.in.At)
	return warmK, math.Hypot(groundErrorK, groundShare*warmK), coldK
}

// How well the warm ones are known (common practice, no source): the ground's temperature with its emissivity, how much
// of the pattern falls on it, and the excess of a noise source.
const (
	groundErrorK = 15
	groundShare  = 0.1
	sourceKShare = 0.05
)
