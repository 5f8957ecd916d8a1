package desk

import (
	"fmt"
	"time"

	"beamhelm/app/desk/receiver"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// seriesKind is what a series of stops measures.
type seriesKind uint8

const (
	groundSeries seriesKind = iota // the Y factor of the ground over cold sky, for which the dish goes up and down
	sourceSeries                   // the Y factor of the noise source, on over off
	dipSeries                      // a sky dip: the level at several elevations
)

// series is a measurement at stops with no body in the sky that is followed.
type series struct {
	Kind seriesKind
	Band int
	Feed int
	// Places is where the dish stands at each stop; empty where it stays.
	Places  []mount.Direction
	Was     enclosure.Outputs // of the noise source: what was switched before
	Stops   []receiver.Stop
	Middles []time.Time // of the stops
	Levels  []float64
	There   bool
	At      step.Nanos
	Begin   time.Time
}

// wanted is how many stops there are to be.
func (r *series) wanted() int {
	if r.moves() {
		return len(r.Places)
	}
	return compareStops
}

func (r *series) moves() bool { return len(r.Places) > 0 }

// The shape of a series.
const (
	compareStops  = 7 // of a Y factor
	compareLasts  = 6 * time.Second
	compareWay    = 3 * time.Minute
	dipWay        = 8 * time.Minute // to the first stop
	sourceSettles = 700 * time.Millisecond
	fromSunMoon   = 15 // degrees that cold sky keeps from Sun and Moon
)

func (r *series) on() bool { return len(r.Stops)%2 == 0 }

// theGround is the target of a Y factor of the ground.
const theGround = "the ground"

func (r *series) name() string {
	return [...]string{theGround, "the noise source", "the sky at several elevations"}[r.Kind]
}

// switchSource switches the noise source as the stop under way wants it.
func (t *turn) switchSource(r *series) {
	if r.Kind != sourceSeries {
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

// stopping moves a series on.
func (t *turn) stopping() {
	s := t.s
	r := s.Receiver.Series
	if r == nil {
		return
	}
	for i := range t.in.Measured {
		if m := &t.in.Measured[i]; m.Flaw == Sound && r.There && m.At.After(r.Begin) {
			r.Levels = append(r.Levels, powerOf(m.LevelDB))
		}
	}
	if r.moves() {
		if why := t.mayNotMove(); why != "" {
			t.endSeries(why)
			return
		}
	}
	switch {
	case s.Band != r.Band, s.Feed != r.Feed:
		t.endSeries("the band has changed")
	case t.in.Loop.Mode == step.LockedOut:
		t.endSeries("the dish is locked out")
	case t.in.Now-max(s.Peak.SoundAt, r.At) > peakAlone && (r.There || !r.moves()):
		t.endSeries("no level came")
	case !r.There:
		t.comesToStop(r)
	case r.moves() && !near(t.in.Loop, r.Places[len(r.Stops)]):
		t.endSeries("the dish has been moved")
	case t.in.At.Sub(r.Begin) > compareLasts:
		t.nextInSeries(r)
	}
}

// comesToStop waits until the beam, or the noise source, is as the stop wants it.
func (t *turn) comesToStop(r *series) {
	settled := t.in.Now-r.At > sourceSettles
	if r.moves() {
		to, most := r.Places[len(r.Stops)], step.Nanos(compareWay)
		begun := len(r.Stops) > 0 // a Y factor of the ground begins where the dish holds
		if r.Kind == dipSeries {
			begun = true
			if len(r.Stops) == 0 {
				most = step.Nanos(dipWay)
			}
		}
		switch {
		case t.in.Now-r.At > most:
			t.endSeries("the beam did not come to where it should be")
			return
		case begun && t.s.Aim == noAim && !near(t.in.Loop, to):
			t.endSeries("the slew ended early")
			return
		}
		settled = near(t.in.Loop, to) && t.in.Loop.Mode == step.Holding && t.in.Now-r.At > receiverSettles
	}
	if settled {
		r.There, r.Begin, r.Levels = true, t.in.At.Add(meanLasts), nil
	}
}

// nextInSeries closes a stop, and goes on to the next or ends with the result.
func (t *turn) nextInSeries(r *series) {
	mean, scatter := meanOf(r.Levels)
	r.Stops = append(r.Stops, receiver.Stop{On: r.on(), Power: mean, Scatter: scatter, N: len(r.Levels)})
	r.Middles = append(r.Middles, r.Begin.Add(t.in.At.Sub(r.Begin)/2))
	r.There, r.At, r.Levels = false, t.in.Now, nil
	switch {
	case len(r.Stops) < r.wanted():
	case r.Kind == dipSeries:
		t.finishDip(r)
		return
	default:
		t.finishComparison(r)
		return
	}
	t.switchSource(r)
	if !r.moves() {
		return
	}
	to := r.Places[len(r.Stops)]
	if why := t.beam().Refused(to); why != "" {
		t.endSeries(why)
		return
	}
	t.begin(slewAim, to, r.Kind == groundSeries)
}

// endSeries ends a series without a result.
func (t *turn) endSeries(why string) {
	r := t.s.Receiver.Series
	if r == nil {
		return
	}
	t.leaveSeries(r)
	what := "No Y factor measured"
	if r.Kind == dipSeries {
		what = "No sky dip"
	}
	t.say(Notice, "%s: %s", what, why)
}

// leaveSeries leaves everything as it was; the dish holds where it is.
func (t *turn) leaveSeries(r *series) {
	t.s.Receiver.Series = nil
	if r.Kind == sourceSeries {
		t.outputs(r.Was)
	}
	if r.moves() && t.s.Aim == slewAim {
		t.s.seek(noAim, t.in.Now)
		t.ask(step.Command{Kind: step.Hold})
	}
}

// seriesStatus is how a series stands.
func (t *turn) seriesStatus(out *Receiving) {
	r := t.s.Receiver.Series
	if r == nil {
		return
	}
	out.Running, out.Part = true, float64(len(r.Stops))/float64(r.wanted())
	switch {
	case r.Kind == dipSeries:
		out.Doing = fmt.Sprintf("Sky dip at %.0f°", r.Places[len(r.Stops)].El.Deg())
		if !r.There {
			out.Doing = fmt.Sprintf("Sky dip: slewing to %.0f°", r.Places[len(r.Stops)].El.Deg())
		}
	case r.Kind == sourceSeries && r.on():
		out.Doing = "Noise source on"
	case r.Kind == sourceSeries:
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
