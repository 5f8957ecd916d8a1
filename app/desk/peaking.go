package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/peak"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// peakState is what the desk carries of peaks.
type peakState struct {
	Run     *peakRun
	Last    *PeakResult
	Used    bool
	SoundAt step.Nanos // when the newest level of use was measured
	Flaw    Flaw       // of the newest level
}

// peakRun is a peak that is being taken.
type peakRun struct {
	Quick      bool
	Band, Feed int
	Choice     station.Target
	Trim       mount.Offset // at its begin
	Shape      peak.Shape
	Disc       unit.Angle // the target's diameter
	Legs       []peakLeg
	Leg        int
	// There: the beam has come to where the leg begins. At is since when.
	There  bool
	At     step.Nanos
	Begin  time.Time // of the sweep
	End    time.Time
	Points [2][]peak.Point
	// Across is where the peak lies in cross-elevation beside the trim, once the first axis is done.
	Across unit.Angle
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
	peakAlone   = 6 * time.Second // the longest time without a level of use
	peakLasts   = 4 * time.Minute // about: the target must stay up so long
	sweepWidths = 1.5             // a sweep reaches so many widths to each side
	widthTakes  = 4               // seconds, at the fastest
	sweepShare  = 0.4             // of the top speed
)

// busy names the job that is under way; empty where there is none.
func (t *turn) busy() string {
	if t.s.Echoes.Request != nil || t.s.Echoes.Waiting {
		return "own echoes are being measured"
	}
	if t.s.Peak.Run != nil {
		return "a peak is being measured"
	}
	if t.s.Receiver.Run != nil || t.s.Receiver.Series != nil {
		if r := t.s.Receiver.Series; r != nil && r.Kind == dipSeries {
			return "a sky dip is being measured"
		}
		return "a Y factor is being measured"
	}
	if t.s.Check.Run != nil && t.s.Check.Run.Phase != checkToSun {
		return "a station check is running"
	}
	return ""
}

// takePeak begins a peak by sweeps, or a quick one by stops, or says why not.
func (t *turn) takePeak(sweeps bool) {
	t.s.NudgeAt = t.in.Now
	if why := t.beginPeak(sweeps); why != "" {
		t.say(Warning, "No peak: %s", why)
	}
}

// beginPeak begins a peak, or tells why not.
func (t *turn) beginPeak(sweeps bool) string {
	s, c := t.s, t.c
	d, look, ok := c.Place(s.Choice, t.in.At)
	run := &peakRun{Quick: !sweeps, Band: s.Band, Feed: s.Feed, Choice: s.Choice, Trim: s.trim(c), At: t.in.Now}
	why := ""
	switch {
	case t.busy() != "":
		why = t.busy()
	case !ok || s.Aim != trackAim || !pursuing(t.in.Loop.Mode):
		why = "track the target first"
	case s.Choice.Kind == Fixed:
		why = "a fixed place has no peak"
	case !t.heard():
		why = "there is no usable level now"
		if s.Peak.Flaw != Sound {
			why = s.Peak.Flaw.String()
		}
	default:
		run.Shape, run.Disc = peak.NewShape(c.Beamwidth(s.Band, s.Feed), look.Diameter), look.Diameter
		run.plan()
		why = t.roomFor(run, d)
	}
	if why != "" {
		return why
	}
	s.Peak.Run = run
	s.excurse(pointing.HeldAt(run.offset(run.Legs[0].From)))
	t.say(Normal, "A peak on %s is being measured", t.s.Choice.InWords())
	return ""
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

// roomFor says what is in the way of a peak; empty for nothing.
func (t *turn) roomFor(r *peakRun, d mount.Direction) string {
	reach := unit.Angle(0)
	for _, leg := range r.Legs {
		reach = max(reach, leg.From, leg.To)
	}
	for _, o := range [...]mount.Offset{{Cross: reach}, {Cross: -reach}, {El: reach}, {El: -reach}} {
		if why := t.beam().Within(o); why != "" {
			return why
		}
	}
	later, _, _ := t.c.Place(r.Choice, t.in.At.Add(peakLasts))
	if min(d.El, later.El)-reach < t.c.Least() {
		return "the target is too low, or will be before it is done"
	}
	if d.El.Cos() < 0.1 {
		return "the target is too near the zenith"
	}
	return ""
}

// peaking takes the levels in and moves the peak on.
func (t *turn) peaking() {
	p := &t.s.Peak
	for i := range t.in.Measured {
		m := &t.in.Measured[i]
		p.Flaw = m.Flaw
		if m.Flaw == Sound {
			p.SoundAt = m.Now
			if m.Trusted {
				t.peakLevel(m)
			}
		}
	}
	r := p.Run
	if r == nil {
		return
	}
	switch {
	case t.s.Aim != trackAim:
		t.endPeak("tracking has ended")
	case t.s.Choice != r.Choice, t.s.Band != r.Band, t.s.Feed != r.Feed:
		t.endPeak("target or band has changed")
	case t.s.trim(t.c) != r.Trim:
		t.endPeak("the trim has been changed meanwhile")
	case t.in.Now-max(p.SoundAt, r.At) > peakAlone:
		why := "no level came"
		if p.Flaw != Sound {
			why = p.Flaw.String()
		}
		t.endPeak(why)
	case !r.There:
		t.peakComes(r)
	case t.in.At.After(r.End):
		t.nextLeg(r)
	}
}

// peakComes waits until the beam stands where the leg begins.
func (t *turn) peakComes(r *peakRun) {
	leg := r.Legs[r.Leg]
	want := r.Trim.Plus(r.offset(leg.From))
	is, ok := t.beam().Off(axesOf(t.in.Loop), t.in.At)
	near := max(r.Shape.Width.Mul(0.1), t.in.Loop.Axes[0].Step.Mul(1.5), t.in.Loop.Axes[1].Step.Mul(1.5))
	off := unit.Angle(math.Hypot((is.Cross - want.Cross).Rad(), (is.El - want.El).Rad()))
	switch {
	case t.in.Now-r.At > peakWay:
		t.endPeak("the beam did not come to where it should begin")
	case ok && off <= near && t.in.Now-r.At > peakSettles:
		t.beginLeg(r)
	}
}

// beginLeg begins the sweep, or the time at a stop.
func (t *turn) beginLeg(r *peakRun) {
	leg := r.Legs[r.Leg]
	r.There, r.At = true, t.in.Now
	r.Begin = t.in.At.Add(peakSettles / 2)
	r.End = r.Begin.Add(peakStop)
	if leg.From != leg.To {
		r.End = r.Begin.Add(t.sweepTime(r))
		t.s.excurse(pointing.Excursion{From: r.offset(leg.From), To: r.offset(leg.To), Begin: r.Begin, End: r.End})
	}
}

// sweepTime is how long a sweep takes: as fast as the levels bear, and far from the axes' top speed.
func (t *turn) sweepTime(r *peakRun) time.Duration {
	leg := r.Legs[r.Leg]
	way := math.Abs((leg.To - leg.From).Rad())
	rate := r.Shape.Width.Rad() / widthTakes
	top := t.c.Drive.Axes[mount.Elevation].Drive.TopSpeed.Rad()
	if leg.Axis == 0 {
		top = t.c.Drive.Axes[mount.Azimuth].Drive.TopSpeed.Rad() * t.in.Loop.Axes[mount.Elevation].Is.Cos()
	}
	if top > 0 {
		rate = min(rate, sweepShare*top)
	}
	return station.Seconds(way / rate)
}

// peakLevel takes a level into the leg under way.
func (t *turn) peakLevel(m *Measured) {
	r := t.s.Peak.Run
	if r == nil || !r.There || m.At.Before(r.Begin) || m.At.After(r.End) {
		return
	}
	o, ok := t.beam().Off(m.Axes, m.At)
	if !ok {
		return
	}
	leg := r.Legs[r.Leg]
	for axis, off := range [2]unit.Angle{o.Cross, o.El} {
		if axis == leg.Axis || leg.Both {
			r.Points[axis] = append(
				r.Points[axis],
				peak.Point{Off: off, Power: powerOf(m.LevelDB), Up: leg.To > leg.From},
			)
		}
	}
}

// nextLeg goes on to the next leg, or ends the peak with its result.
func (t *turn) nextLeg(r *peakRun) {
	last := r.Legs[r.Leg].Axis
	if r.Leg+1 == len(r.Legs) {
		t.finishPeak(r)
		return
	}
	r.Leg++
	if r.Legs[r.Leg].Axis != last && !r.Quick {
		f, err := peak.Sweep(r.Points[0], r.Shape)
		if err != nil {
			t.endPeak(err.Error())
			return
		}
		// The second axis is swept through the top of the first.
		span := r.Shape.Width.Mul(sweepWidths)
		r.Across = max(-span, min(span, f.Centre-r.Trim.Cross))
	}
	r.There, r.At = false, t.in.Now
	t.s.excurse(pointing.HeldAt(r.offset(r.Legs[r.Leg].From)))
}

// endPeak ends the peak under way without a result: trim and tracking are as before.
func (t *turn) endPeak(why string) {
	s := t.s
	if s.Peak.Run == nil {
		return
	}
	s.Peak.Run = nil
	s.excurse(pointing.Excursion{})
	t.say(Notice, "No peak: %s; the trim is unchanged", why)
}
