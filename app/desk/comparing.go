package desk

import (
	"fmt"
	"math"
	"time"

	"beamhelm/app/desk/receiver"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// comparison is a Y factor without a body in the sky: of the ground over cold
// sky, for which the dish goes up and down, or of the noise source on over off.
type comparison struct {
	Source bool // the noise source; else the ground
	Band   int
	Feed   int
	// Ground is where the dish stood, Cold the place above it.
	Ground, Cold mount.Direction
	Was          enclosure.Outputs // of the noise source: what was switched before
	Stops        []receiver.Stop
	Levels       []float64
	There        bool
	At           step.Nanos
	Begin        time.Time
}

// The shape of a comparison.
const (
	compareStops  = 7
	compareLasts  = 6 * time.Second
	compareWay    = 3 * time.Minute
	sourceSettles = 700 * time.Millisecond
	coldAt        = 60 // degrees of elevation
	fromSunMoon   = 15 // degrees that cold sky keeps from Sun and Moon
)

func (r *comparison) on() bool { return len(r.Stops)%2 == 0 }

// compare begins a comparison with the ground at which the dish holds, or of the noise source.
func (t *turn) compare(source bool) {
	s := t.s
	s.NudgeAt = t.in.Now
	run := &comparison{Source: source, Band: s.Band, Feed: s.Feed, At: t.in.Now, Was: s.Outputs}
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
	s.Receiver.Compare = run
	t.switchSource(run)
	t.say(Normal, "The Y factor of %s is being measured", run.name())
}

func (r *comparison) name() string {
	if r.Source {
		return "the noise source"
	}
	return "the ground"
}

// groundFor finds the places of a comparison with the ground; why says why there are none.
func (t *turn) groundFor(r *comparison) (why string) {
	loop := t.in.Loop
	r.Ground = mount.Direction{Az: loop.Axes[mount.Azimuth].Is, El: loop.Axes[mount.Elevation].Is}
	below := -t.c.OverHorizon(r.Ground)
	switch {
	case !t.trusted():
		return "the axes are not referenced; set the reference first"
	case t.s.Aim == trackAim || loop.Mode != step.Holding:
		return "hold the beam on the ground first: a hill, trees, a wall"
	case below < -t.c.Beamwidth(t.s.Band, t.s.Feed).Mul(0.25):
		return "the beam looks at the sky: hold it on the ground first, a hill, trees, a wall"
	}
	for _, el := range [...]float64{coldAt, coldAt + 20, coldAt - 15} {
		r.Cold = mount.Direction{Az: r.Ground.Az, El: degrees(el)}
		free := t.c.Allowed(r.Cold) && t.beam().Refused(r.Cold) == "" &&
			!t.c.NearSunOrMoon(t.directionOf(r.Cold), degrees(fromSunMoon), t.in.At)
		if free {
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

// switchSource switches the noise source as the stop under way wants it.
func (t *turn) switchSource(r *comparison) {
	if !r.Source {
		return
	}
	switched := t.s.Outputs &^ enclosure.OutputNoiseSource
	if r.on() {
		switched |= enclosure.OutputNoiseSource
	}
	t.outputs(switched)
}

// outputs switches preamplifier and noise source.
func (t *turn) outputs(o enclosure.Outputs) {
	t.s.Outputs, t.s.OutputsAt = o, t.in.Now
	t.ask(step.Command{Kind: step.OutputsTo, Value: int32(o)})
}

// comparing moves a comparison on.
func (t *turn) comparing() {
	s := t.s
	r := s.Receiver.Compare
	if r == nil {
		return
	}
	for i := range t.in.Measured {
		if m := &t.in.Measured[i]; m.Flaw == Sound && r.There && m.At.After(r.Begin) {
			r.Levels = append(r.Levels, powerOf(m.LevelDB))
		}
	}
	switch {
	case s.Band != r.Band, s.Feed != r.Feed:
		t.endComparison("the band has changed")
	case t.in.Loop.Mode == step.LockedOut:
		t.endComparison("the dish is locked out")
	case t.in.Now-max(s.Peak.SoundAt, r.At) > peakAlone && !t.underWay(r):
		t.endComparison("no level came")
	case !r.There:
		t.comparisonComes(r)
	case t.in.At.Sub(r.Begin) > compareLasts:
		t.nextComparison(r)
	}
}

func (t *turn) underWay(r *comparison) bool { return !r.Source && !r.There }

// comparisonComes waits until the beam, or the noise source, is as the stop wants it.
func (t *turn) comparisonComes(r *comparison) {
	settled := t.in.Now-r.At > sourceSettles
	if !r.Source {
		to := r.Cold
		if r.on() {
			to = r.Ground
		}
		switch {
		case t.in.Now-r.At > compareWay:
			t.endComparison("the beam did not come to where it should be")
			return
		case len(r.Stops) > 0 && t.s.Aim == noAim && !near(t.in.Loop, to):
			t.endComparison("the slew ended early")
			return
		}
		settled = near(t.in.Loop, to) && t.in.Loop.Mode == step.Holding && t.in.Now-r.At > receiverSettles
	}
	if settled {
		r.There, r.Begin, r.Levels = true, t.in.At.Add(meanLasts), nil
	}
}

// nextComparison closes a stop, and goes on to the next or ends with the result.
func (t *turn) nextComparison(r *comparison) {
	mean, scatter := meanOf(r.Levels)
	r.Stops = append(r.Stops, receiver.Stop{On: r.on(), Power: mean, Scatter: scatter, N: len(r.Levels)})
	r.There, r.At, r.Levels = false, t.in.Now, nil
	if len(r.Stops) == compareStops {
		t.finishComparison(r)
		return
	}
	t.switchSource(r)
	if !r.Source {
		to := r.Cold
		if r.on() {
			to = r.Ground
		}
		t.begin(slewAim, to, true)
	}
}

// finishComparison judges the Y factor.
func (t *turn) finishComparison(r *comparison) {
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
	}
	t.leaveComparison(r)
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
func (t *turn) comparedWith(r *comparison) (warmK, warmErrorK, coldK float64) {
	if r.Source {
		here := axesOf(t.in.Loop)
		coldK = t.antenna().SystemK(t.c, t.directionOf(here), t.in.At)
		excess := t.c.Settings.Bands[t.s.Band].Feeds[t.s.Feed].NoiseSourceK
		if excess <= 0 {
			return 0, 0, coldK
		}
		return coldK + excess, sourceKShare * excess, coldK
	}
	warmK = t.antenna().SystemK(t.c, t.directionOf(r.Ground), t.in.At)
	return warmK, math.Hypot(groundErrorK, groundShare*warmK), t.antenna().SystemK(t.c, t.directionOf(r.Cold), t.in.At)
}

// How well the warm ones are known (common practice, no source): the ground's temperature with its emissivity,
// how much of the
// pattern falls on it, and the excess of a noise source.
const (
	groundErrorK = 15
	groundShare  = 0.1
	sourceKShare = 0.05
)

// endComparison ends a comparison without a result.
func (t *turn) endComparison(why string) {
	r := t.s.Receiver.Compare
	if r == nil {
		return
	}
	t.leaveComparison(r)
	t.say(Notice, "No Y factor measured: %s", why)
}

// leaveComparison leaves everything as it was; the dish holds where it is.
func (t *turn) leaveComparison(r *comparison) {
	t.s.Receiver.Compare = nil
	if r.Source {
		t.outputs(r.Was)
	}
	if !r.Source && t.s.Aim == slewAim {
		t.s.seek(noAim, t.in.Now)
		t.ask(step.Command{Kind: step.Hold})
	}
}

// compareStatus is how a comparison stands.
func (t *turn) compareStatus(out *Receiving) {
	r := t.s.Receiver.Compare
	if r == nil {
		return
	}
	out.Running, out.Part = true, float64(len(r.Stops))/compareStops
	switch {
	case r.Source && r.on():
		out.Doing = "Noise source on"
	case r.Source:
		out.Doing = "Noise source off"
	case !r.There && r.on():
		out.Doing = "Slewing down to the ground"
	case !r.There:
		out.Doing = "Slewing up to cold sky"
	case r.on():
		out.Doing = "On the ground"
	default:
		out.Doing = "On cold sky"
	}
}
