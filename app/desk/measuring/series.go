package measuring

import (
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
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
	Places  []mount.AxisAngles
	Was     enclosure.Outputs // of the noise source: what was switched before
	Stops   []receiver.Stop
	Middles []time.Time // of the stops
	Levels  []float64
	There   bool
	Begun   step.Nanos // the series
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
func (w *work) switchSource(r *series) {
	if r.Kind != sourceSeries {
		return
	}
	switched := w.in.Outputs &^ enclosure.OutputNoiseSource
	if r.on() {
		switched |= enclosure.OutputNoiseSource
	}
	w.ask(Switch{switched})
}

// stopping moves a series on.
func (w *work) stopping() {
	s := w.s
	r := s.Receiver.Series
	if r == nil {
		return
	}
	for i := range w.in.Levels {
		if m := &w.in.Levels[i]; m.Flaw == level.Sound && r.There && m.At.After(r.Begin) {
			r.Levels = append(r.Levels, level.PowerOf(m.LevelDB))
		}
	}
	if r.moves() {
		if why := w.mayNotMove(); why.Code != "" {
			w.endSeries(why)
			return
		}
	}
	switch {
	case w.in.Band != r.Band, w.in.Feed != r.Feed:
		w.endSeries(message.Of("measuring.band-changed"))
	case w.in.Loop.Mode == step.LockedOut:
		w.endSeries(message.Of("desk.locked-out"))
	case w.in.Now-max(s.Peak.SoundAt, r.At) > peakAlone && (r.There || !r.moves()):
		w.endSeries(message.Of("measuring.no-level"))
	case !r.There:
		w.comesToStop(r)
	case r.moves() && !pointing.Near(w.in.Loop, r.Places[len(r.Stops)]):
		w.endSeries(message.Of("measuring.dish-moved"))
	case w.in.At.Sub(r.Begin) > compareLasts:
		w.nextInSeries(r)
	}
}

// comesToStop waits until the beam, or the noise source, is as the stop wants it.
func (w *work) comesToStop(r *series) {
	settled := w.in.Now-r.At > sourceSettles
	if r.moves() {
		to, maximum := r.Places[len(r.Stops)], step.Nanos(compareWay)
		begun := len(r.Stops) > 0 // a Y factor of the ground begins where the dish holds
		if r.Kind == dipSeries {
			begun = true
			if len(r.Stops) == 0 {
				maximum = step.Nanos(dipWay)
			}
		}
		switch {
		case w.in.Now-r.At > maximum:
			w.endSeries(message.Of("desk.beam-late"))
			return
		case begun && w.in.Idle && !pointing.Near(w.in.Loop, to):
			w.endSeries(message.Of("measuring.slew-ended"))
			return
		}
		settled = pointing.Near(w.in.Loop, to) && w.in.Loop.Mode == step.Holding && w.in.Now-r.At > receiverSettles
	}
	if settled {
		r.There, r.Begin, r.Levels = true, w.in.At.Add(level.MeanLasts), nil
	}
}

// nextInSeries closes a stop, and goes on to the next or ends with the result.
func (w *work) nextInSeries(r *series) {
	mean, scatter := meanOf(r.Levels)
	r.Stops = append(r.Stops, receiver.Stop{On: r.on(), Power: mean, Scatter: scatter, N: len(r.Levels)})
	r.Middles = append(r.Middles, r.Begin.Add(w.in.At.Sub(r.Begin)/2))
	r.There, r.At, r.Levels = false, w.in.Now, nil
	switch {
	case len(r.Stops) < r.wanted():
	case r.Kind == dipSeries:
		w.finishDip(r)
		return
	default:
		w.finishComparison(r)
		return
	}
	w.switchSource(r)
	if !r.moves() {
		return
	}
	to := r.Places[len(r.Stops)]
	if why := w.in.Beam.Refused(to); why.Code != "" {
		w.endSeries(why)
		return
	}
	w.ask(Slew{To: to, Asked: r.Kind == groundSeries})
}

// endSeries ends a series without a result.
func (w *work) endSeries(why message.Message) {
	r := w.s.Receiver.Series
	if r == nil {
		return
	}
	w.leaveSeries(r)
	code := message.Code("yfactor.none")
	if r.Kind == dipSeries {
		code = "dip.none"
	}
	w.say(alarm.Notice, code, why)
}

// leaveSeries leaves everything as it was; the dish holds where it is.
func (w *work) leaveSeries(r *series) {
	w.s.Receiver.Series = nil
	if r.Kind == sourceSeries {
		w.ask(Switch{r.Was})
	}
	if r.moves() && w.in.Slewing {
		w.ask(Rest{Hold: true})
	}
}

// seriesStatus is how a series stands.
func (w *work) seriesStatus(out *Receiving) {
	r := w.s.Receiver.Series
	if r == nil {
		return
	}
	out.Running, out.Part = true, float64(len(r.Stops))/float64(r.wanted())
	out.Progress = course{r.Begun, r.At}.progress(w.in.Now, len(r.Stops), r.wanted(), compareLasts+receiverWay)
	switch {
	case r.Kind == dipSeries:
		out.Doing = message.Of(either(r.There, "dip.doing.at", "dip.doing.to"), r.Places[len(r.Stops)].El)
	case r.Kind == sourceSeries && r.on():
		out.Doing = message.Of("yfactor.doing.source-on")
	case r.Kind == sourceSeries:
		out.Doing = message.Of("yfactor.doing.source-off")
	case !r.There && r.on():
		out.Doing = message.Of("yfactor.doing.to-ground")
	case !r.There:
		out.Doing = message.Of("yfactor.doing.to-sky")
	case r.on():
		out.Doing = message.Of("yfactor.doing.ground")
	default:
		out.Doing = message.Of("yfactor.doing.sky")
	}
}
