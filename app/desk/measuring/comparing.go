package measuring

import (
	"fmt"
	"math"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// coldAt is where cold sky is looked for first, degrees of elevation.
const coldAt = 60

// compare begins a comparison with the ground at which the dish holds, or of the noise source.
func (w *work) compare(source bool) {
	s := w.s
	w.pressed()
	run := &series{Band: w.in.Band, Feed: w.in.Feed, At: w.in.Now, Was: w.in.Outputs}
	if source {
		run.Kind = sourceSeries
	}
	why := w.busy()
	switch {
	case why != "":
	case s.Rounds.Running:
		why = "an automatic survey is running"
	case !w.heard():
		why = "there is no usable level now"
	case !source:
		why = w.groundFor(run)
	}
	if why != "" {
		w.say(alarm.Warning, "No Y factor measured: %s", why)
		return
	}
	s.Receiver.Series = run
	w.switchSource(run)
	w.say(alarm.Normal, "The Y factor of %s is being measured", run.name())
}

// groundFor finds the places of a comparison with the ground; why says why there are none.
func (w *work) groundFor(r *series) (why string) {
	loop := w.in.Loop
	ground := pointing.AxesOf(loop)
	below := -w.c.OverHorizon(ground)
	switch {
	case !pointing.Referenced(w.in.Loop):
		return "the axes are not referenced; set the reference first"
	case w.in.Tracking || loop.Mode != step.Holding:
		return "hold the beam on the ground first: a hill, trees, a wall"
	case below < -w.c.Beamwidth(w.in.Band, w.in.Feed).Mul(0.25):
		return "the beam looks at the sky: hold it on the ground first, a hill, trees, a wall"
	}
	for _, el := range [...]float64{coldAt, coldAt + 20, coldAt - 15} {
		cold := mount.AxisAngles{Az: ground.Az, El: degrees(el)}
		free := w.c.Allowed(cold) && w.in.Beam.Refused(cold) == "" &&
			!w.c.NearSunOrMoon(directionOf(cold), degrees(fromSunMoon), w.in.At)
		if free {
			for i := range compareStops {
				r.Places = append(r.Places, [...]mount.AxisAngles{ground, cold}[i%2])
			}
			return ""
		}
	}
	return "no cold sky above is free of Sun and Moon"
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
		err = fmt.Errorf("%s is no louder than what it is compared with", r.name())
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
		res.Why = err.Error()
		w.say(alarm.Warning, "The Y factor of %s is unusable: %s", r.name(), res.Why)
		return
	}
	s.keepResult(res)
	words := ""
	if res.Figures.SystemK > 0 {
		words = fmt.Sprintf(", system noise %.0f K", res.Figures.SystemK)
	}
	w.say(alarm.Normal, "Y factor of %s %.2f dB%s", r.name(), res.Figures.YDB, words)
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
