package desk

import (
	"fmt"
	"math"

	"beamhelm/app/desk/receiver"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// coldAt is where cold sky is looked for first, degrees of elevation.
const coldAt = 60

// compare begins a comparison with the ground at which the dish holds, or of the noise source.
func (t *turn) compare(source bool) {
	s := t.s
	s.NudgeAt = t.in.Now
	run := &series{Band: s.Band, Feed: s.Feed, At: t.in.Now, Was: s.Outputs}
	if source {
		run.Kind = sourceSeries
	}
	why := t.busy()
	switch {
	case why != "":
	case s.Rounds.Running:
		why = "an automatic survey is running"
	case !t.heard():
		why = "there is no usable level now"
	case !source:
		why = t.groundFor(run)
	}
	if why != "" {
		t.say(Warning, "No Y factor measured: %s", why)
		return
	}
	s.Receiver.Series = run
	t.switchSource(run)
	t.say(Normal, "The Y factor of %s is being measured", run.name())
}

// groundFor finds the places of a comparison with the ground; why says why there are none.
func (t *turn) groundFor(r *series) (why string) {
	loop := t.in.Loop
	ground := mount.Direction{Az: loop.Axes[mount.Azimuth].Is, El: loop.Axes[mount.Elevation].Is}
	below := -t.c.OverHorizon(ground)
	switch {
	case !t.trusted():
		return "the axes are not referenced; set the reference first"
	case t.s.Aim == trackAim || loop.Mode != step.Holding:
		return "hold the beam on the ground first: a hill, trees, a wall"
	case below < -t.c.Beamwidth(t.s.Band, t.s.Feed).Mul(0.25):
		return "the beam looks at the sky: hold it on the ground first, a hill, trees, a wall"
	}
	for _, el := range [...]float64{coldAt, coldAt + 20, coldAt - 15} {
		cold := mount.Direction{Az: ground.Az, El: degrees(el)}
		free := t.c.Allowed(cold) && t.beam().Refused(cold) == "" &&
			!t.c.NearSunOrMoon(t.directionOf(cold), degrees(fromSunMoon), t.in.At)
		if free {
			for i := range compareStops {
				r.Places = append(r.Places, [...]mount.Direction{ground, cold}[i%2])
			}
			return ""
		}
	}
	return "no cold sky above is free of Sun and Moon"
}

// directionOf is where in the sky axis angles look, corrections left out: good
// to what they come to, and that is enough to know ground from sky.
func (t *turn) directionOf(axes mount.Direction) mount.Direction {
	return mount.Direction{Az: axes.Az.Mod1(), El: axes.El}
}

// finishComparison judges the Y factor.
func (t *turn) finishComparison(r *series) {
	s := t.s
	band, feed := t.c.Names(s.Band, s.Feed)
	res := &ReceiverResult{
		At:     t.in.At,
		Band:   band,
		Feed:   feed,
		Target: r.name(),
		El:     t.in.Loop.Axes[mount.Elevation].Is,
	}
	y, sigma, err := receiver.YFactor(r.Stops)
	switch {
	case err != nil:
	case y <= 1:
		err = fmt.Errorf("%s is no louder than what it is compared with", r.name())
	default:
		warm, warmError, cold := t.comparedWith(r)
		res.Figures = receiver.Compare(y, sigma, warm, warmError, cold)
		if r.Kind == groundSeries {
			res.ColdEl, res.WarmK = r.Places[1].El, warm-t.antenna().Listener.Receiver.K()
		}
	}
	t.leaveSeries(r)
	s.Receiver.Last = res
	if err != nil {
		res.Why = err.Error()
		t.say(Warning, "The Y factor of %s is unusable: %s", r.name(), res.Why)
		return
	}
	s.keepResult(res)
	words := ""
	if res.Figures.SystemK > 0 {
		words = fmt.Sprintf(", system noise %.0f K", res.Figures.SystemK)
	}
	t.say(Normal, "Y factor of %s %.2f dB%s", r.name(), res.Figures.YDB, words)
}

// comparedWith is what should be heard of both, kelvin, and how well the warm one is known: of the noise source its
// excess is known where the feed's settings tell it. A warmK of 0: not known.
func (t *turn) comparedWith(r *series) (warmK, warmErrorK, coldK float64) {
	if r.Kind == sourceSeries {
		here := axesOf(t.in.Loop)
		coldK = t.antenna().SystemK(t.c, t.directionOf(here), t.in.At)
		excess := t.c.Settings.Bands[t.s.Band].Feeds[t.s.Feed].NoiseSourceK
		if excess <= 0 {
			return 0, 0, coldK
		}
		return coldK + excess, sourceKShare * excess, coldK
	}
	warmK = t.antenna().SystemK(t.c, t.directionOf(r.Places[0]), t.in.At)
	coldK = t.antenna().SystemK(t.c, t.directionOf(r.Places[1]), t.in.At)
	return warmK, math.Hypot(groundErrorK, groundShare*warmK), coldK
}

// How well the warm ones are known (common practice, no source): the ground's temperature with its emissivity, how much
// of the pattern falls on it, and the excess of a noise source.
const (
	groundErrorK = 15
	groundShare  = 0.1
	sourceKShare = 0.05
)
