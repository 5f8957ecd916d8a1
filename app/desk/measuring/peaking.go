package measuring

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/peak"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// peakState is what the desk carries of peaks.
type peakState struct {
	Run     *peakRun
	Last    *PeakResult
	Used    bool
	SoundAt step.Nanos // when the newest level of use was measured
	Flaw    level.Flaw // of the newest level
}

// subject is what is measured, and with what: none of it may change meanwhile.
type subject struct {
	Band, Feed int
	Choice     station.Target
	Trim       mount.Offset
}

func (w *work) subject() subject {
	return subject{w.in.Band, w.in.Feed, w.in.Target, w.in.Beam.Chain.Trim}
}

// hindered says why a peak or a Y factor can't go on, whose leg or stop began at a moment; nothing where it can.
func (w *work) hindered(of *subject, at step.Nanos) message.Message {
	p := &w.s.Peak
	switch {
	case !w.in.Tracking:
		return message.Of("measuring.tracking-ended")
	case w.in.Target != of.Choice, w.in.Band != of.Band, w.in.Feed != of.Feed:
		return message.Of("measuring.target-changed")
	case w.in.Beam.Chain.Trim != of.Trim:
		return message.Of("desk.trim-changed")
	case w.in.Now-max(p.SoundAt, at) <= peakAlone:
		return message.Message{}
	case p.Flaw != level.Sound:
		return p.Flaw.Message()
	}
	return message.Of("measuring.no-level")
}

// peakRun is a peak that is being taken.
type peakRun struct {
	subject
	Quick bool
	Shape peak.Shape
	Disc  unit.Angle // the target's diameter
	Legs  []peakLeg
	Leg   int
	// There: the beam has come to where the leg begins. At is since when.
	There    bool
	At       step.Nanos
	LegBegun step.Nanos // on the way to it
	Begin    time.Time  // of the sweep
	End      time.Time
	Points   [2][]peak.Point
	// Across is where the peak lies in cross-elevation beside the trim, once the first axis is done.
	Across unit.Angle
	// SoFar is what the levels show up to now, worked out at SoFarAt.
	SoFar   *PeakResult
	SoFarAt step.Nanos
}

// peakLeg is a sweep from From to To along an axis, or a stop where both are the same.
type peakLeg struct {
	Axis     int // of the course: 0 across, 1 up
	From, To unit.Angle
	Both     bool // a stop that counts for both axes
}

// The times of a peak.
const (
	peakWay     = 90 * time.Second // the longest way to the begin of a leg
	peakSettles = time.Second
	peakStop    = 3 * time.Second // of a stop
	peakMoves   = 3 * time.Second // about, to a leg or stop and to settle there
	peakAlone   = 6 * time.Second // the longest time without a level of use
	peakLasts   = 4 * time.Minute // about: the target must stay up so long
	sweepWidths = 1.5             // a sweep reaches so many widths to each side
	widthTakes  = 4               // seconds, at the fastest
	sweepShare  = 0.4             // of the top speed
)

// takePeak begins a peak by sweeps, or a quick one by stops, or says why not.
func (w *work) takePeak(sweeps bool) {
	w.pressed()
	if why := w.beginPeak(sweeps); why.Code != "" {
		w.say(alarm.Warning, "peak.none", why)
	}
}

// beginPeak begins a peak, or tells why not.
func (w *work) beginPeak(sweeps bool) message.Message {
	s, c := w.s, w.c
	d, look, ok := c.Place(w.in.Target, w.in.At)
	run := &peakRun{
		subject: w.subject(), Quick: !sweeps, At: w.in.Now, LegBegun: w.in.Now,
	}
	why := message.Message{}
	switch {
	case w.busy().Code != "":
		why = w.busy()
	case !ok || !w.in.Tracking || !pointing.Follows(w.in.Loop.Mode):
		why = message.Of("peak.track-first")
	case w.in.Target.Kind == station.Fixed:
		why = message.Of("peak.fixed")
	case !w.heard():
		why = message.Of("measuring.no-level-now")
		if s.Peak.Flaw != level.Sound {
			why = s.Peak.Flaw.Message()
		}
	default:
		run.Shape, run.Disc = peak.NewShape(c.Beamwidth(w.in.Band, w.in.Feed), look.Diameter), look.Diameter
		run.plan()
		why = w.roomFor(run, d)
	}
	if why.Code != "" {
		return why
	}
	s.Peak.Run = run
	w.excurse(pointing.HeldAt(run.offset(run.Legs[0].From)))
	w.say(alarm.Normal, "peak.begun", w.in.Target.InWords())
	return message.Message{}
}

// plan lays the legs out.
func (r *peakRun) plan() {
	w := r.Shape.Width
	if r.Quick {
		half := w.Div(2)
		stop := func(axis int, at unit.Angle, both bool) peakLeg { return peakLeg{axis, at, at, both} }
		r.Legs = []peakLeg{
			stop(0, 0, true),
			stop(0, -half, false),
			stop(0, half, false),
			stop(1, half, false),
			stop(1, -half, false),
			stop(1, 0, true),
		}
		return
	}
	span := w.Mul(sweepWidths)
	for axis := range 2 {
		r.Legs = append(r.Legs, peakLeg{Axis: axis, From: -span, To: span}, peakLeg{Axis: axis, From: span, To: -span})
	}
}

// offset is a place of the leg under way, beside the trim.
func (r *peakRun) offset(along unit.Angle) mount.Offset {
	if r.Legs[r.Leg].Axis == 0 {
		return mount.Offset{Cross: along}
	}
	return mount.Offset{Cross: r.Across, El: along}
}

// roomFor says what is in the way of a peak; nothing for nothing.
func (w *work) roomFor(r *peakRun, d mount.SkyDirection) message.Message {
	reach := unit.Angle(0)
	for _, leg := range r.Legs {
		reach = max(reach, leg.From, leg.To)
	}
	for _, o := range [...]mount.Offset{{Cross: reach}, {Cross: -reach}, {El: reach}, {El: -reach}} {
		if why := w.in.Beam.Within(o); why.Code != "" {
			return why
		}
	}
	later, _, _ := w.c.Place(r.Choice, w.in.At.Add(peakLasts))
	if min(d.El, later.El)-reach < w.c.Min() {
		return message.Of("peak.target-low")
	}
	if d.El.Cos() < 0.1 {
		return message.Of("pointing.zenith")
	}
	return message.Message{}
}

// peaking takes the levels in and moves the peak on.
func (w *work) peaking() {
	p := &w.s.Peak
	for i := range w.in.Levels {
		m := &w.in.Levels[i]
		p.Flaw = m.Flaw
		if m.Flaw == level.Sound {
			p.SoundAt = m.Now
			if m.Trusted {
				w.peakLevel(m)
			}
		}
	}
	r := p.Run
	if r == nil {
		return
	}
	if why := w.hindered(&r.subject, r.At); why.Code != "" {
		w.endPeak(why)
		return
	}
	w.showSoFar(r)
	switch {
	case !r.There:
		w.peakComes(r)
	case w.in.At.After(r.End):
		w.nextLeg(r)
	}
}

// peakComes waits until the beam stands where the leg begins.
func (w *work) peakComes(r *peakRun) {
	leg := r.Legs[r.Leg]
	commanded := r.Trim.Plus(r.offset(leg.From))
	is, ok := w.in.Beam.Off(pointing.AxesOf(w.in.Loop), w.in.At)
	near := max(r.Shape.Width.Mul(0.1), w.in.Loop.Axes[0].Step.Mul(1.5), w.in.Loop.Axes[1].Step.Mul(1.5))
	off := unit.Angle(math.Hypot((is.Cross - commanded.Cross).Rad(), (is.El - commanded.El).Rad()))
	switch {
	case w.in.Now-r.At > peakWay:
		w.endPeak(message.Of("peak.beam-late"))
	case ok && off <= near && w.in.Now-r.At > peakSettles:
		w.beginLeg(r)
	}
}

// beginLeg begins the sweep, or the time at a stop.
func (w *work) beginLeg(r *peakRun) {
	leg := r.Legs[r.Leg]
	r.There, r.At = true, w.in.Now
	r.Begin = w.in.At.Add(peakSettles / 2)
	r.End = r.Begin.Add(peakStop)
	if leg.From != leg.To {
		r.End = r.Begin.Add(w.sweepTime(r))
		w.excurse(pointing.Excursion{From: r.offset(leg.From), To: r.offset(leg.To), Begin: r.Begin, End: r.End})
	}
}

// sweepTime is how long a sweep takes: as fast as the levels tolerate, and far from the axes' top speed.
func (w *work) sweepTime(r *peakRun) time.Duration {
	leg := r.Legs[r.Leg]
	way := math.Abs((leg.To - leg.From).Rad())
	rate := r.Shape.Width.Rad() / widthTakes
	top := w.c.Drive.Axes[mount.Elevation].Drive.TopSpeed.Rad()
	if leg.Axis == 0 {
		top = w.c.Drive.Axes[mount.Azimuth].Drive.TopSpeed.Rad() * w.in.Loop.Axes[mount.Elevation].Position.Cos()
	}
	if top > 0 {
		rate = min(rate, sweepShare*top)
	}
	return station.Seconds(way / rate)
}

// peakLevel takes a level into the leg under way.
func (w *work) peakLevel(m *level.Measured) {
	r := w.s.Peak.Run
	if r == nil || !r.There || m.At.Before(r.Begin) || m.At.After(r.End) {
		return
	}
	o, ok := w.in.Beam.Off(m.Axes, m.At)
	if !ok {
		return
	}
	leg := r.Legs[r.Leg]
	for axis, off := range [2]unit.Angle{o.Cross, o.El} {
		if axis == leg.Axis || leg.Both {
			r.Points[axis] = append(
				r.Points[axis],
				peak.Point{Off: off, Power: level.PowerOf(m.LevelDB), Up: leg.To > leg.From},
			)
		}
	}
}

// nextLeg goes on to the next leg, or ends the peak with its result.
func (w *work) nextLeg(r *peakRun) {
	last := r.Legs[r.Leg].Axis
	if r.Leg+1 == len(r.Legs) {
		w.finishPeak(r)
		return
	}
	r.Leg++
	if r.Legs[r.Leg].Axis != last && !r.Quick {
		f, err := peak.Sweep(r.Points[0], r.Shape)
		if err != nil {
			w.endPeak(message.OfError(err))
			return
		}
		// The second axis is swept through the top of the first.
		span := r.Shape.Width.Mul(sweepWidths)
		r.Across = max(-span, min(span, f.Centre-r.Trim.Cross))
	}
	r.There, r.At, r.LegBegun = false, w.in.Now, w.in.Now
	w.excurse(pointing.HeldAt(r.offset(r.Legs[r.Leg].From)))
}

// endPeak ends the peak under way without a result: trim and tracking are as before.
func (w *work) endPeak(why message.Message) {
	s := w.s
	if s.Peak.Run == nil {
		return
	}
	s.Peak.Run = nil
	w.excurse(pointing.Excursion{})
	w.say(alarm.Notice, "peak.ended", why)
}
