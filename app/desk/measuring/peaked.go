package measuring

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/peak"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// PeakResult is what a peak came to. It is not changed once published.
type PeakResult struct {
	At         time.Time
	Band, Feed string
	Kind       station.BodyKind
	Target     string
	Quick      bool
	// Curves are those of cross-elevation and elevation.
	Curves [2]PeakCurve
	// Was is the trim before, Found the trim that gives most noise, Error its standard deviations.
	Was, Found, Error mount.Offset
	// Beam is the beam's own half-power width in both, the target's disc taken out; 0 where it was not measured.
	Beam [2]unit.Angle
	// BeamError are their standard deviations.
	BeamError [2]unit.Angle
	// SignalDB is how far the top lies above the sky beside the target, SignalError its standard deviation.
	SignalDB, SignalError float64
	// Why says why it is of no use; nothing where it is.
	Why message.Message
	// Observation is the same for the survey of the mount.
	Observation mount.Observation
}

// PeakCurve is the points of an axis and the curve laid through them.
type PeakCurve struct {
	Points []peak.Point
	Fit    peak.Fit
	Shape  peak.Shape
	Has    bool // there is a fit
}

// Peak is how the taking of a peak stands.
type Peak struct {
	Running bool
	Quick   bool
	// Doing says what is being done; Part how much of it all is done, 0 to 1.
	Doing    message.Message
	Part     float64
	Progress // its sweeps or stops
	// SoFar is what the peak under way came to up to now, renewed once a second; nil before its first level. An axis
	// whose levels don't make a peak yet has no fit.
	SoFar *PeakResult
	// Last is the newest peak, nil for none; Usable says that its trim may be used now, Applied that it was.
	Last    *PeakResult
	Usable  bool
	Applied bool
}

// newPeak is a result without figures.
func (w *work) newPeak(r *peakRun) *PeakResult {
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	return &PeakResult{
		At: w.in.At, Band: band, Feed: feed, Kind: w.in.Target.Kind, Target: w.in.Target.BareName(),
		Quick: r.Quick, Was: r.Trim,
	}
}

// lay lays the curve of an axis through its levels, and says why it is no use; nothing where it is of use.
func (p *PeakResult) lay(r *peakRun, axis int, points []peak.Point, shape peak.Shape) (why message.Message) {
	fit := peak.Sweep
	if r.Quick {
		fit = peak.Stops
	}
	f, err := fit(points, shape)
	p.Curves[axis] = PeakCurve{Points: points, Fit: f, Shape: shape, Has: err == nil}
	if err != nil {
		return message.OfError(err)
	}
	if !r.Quick {
		p.Beam[axis] = shape.OwnWidth(f.Stretch, r.Disc)
		p.BeamError[axis] = shape.OwnWidthError(f.Stretch, f.StretchError, r.Disc)
	}
	return peak.Judge(points, f, shape, !r.Quick)
}

// showSoFar works out once a second what the levels up to now show. The bend of air and ground is left out: it moves
// the result by less than is seen meanwhile.
func (w *work) showSoFar(r *peakRun) {
	if len(r.Points[0])+len(r.Points[1]) == 0 || w.in.Now-r.SoFarAt < time.Second {
		return
	}
	res := w.newPeak(r)
	for axis, points := range r.Points {
		if res.lay(r, axis, slices.Clone(points), r.Shape).Code != "" {
			c := &res.Curves[axis]
			c.Fit, c.Has, res.Beam[axis], res.BeamError[axis] = peak.Fit{}, false, 0, 0
		}
	}
	res.setFound()
	r.SoFar, r.SoFarAt = res, w.in.Now
}

// setFound takes trim, error and signal from the curves.
func (p *PeakResult) setFound() {
	across, up := p.Curves[0].Fit, p.Curves[1].Fit
	p.Found = mount.Offset{Cross: across.Centre, El: up.Centre}
	p.Error = mount.Offset{Cross: across.CentreError, El: up.CentreError}
	if up.Base > 0 {
		p.SignalDB, p.SignalError = up.AboveBase()
	}
}

// finishPeak fits the curves, judges them and goes back to tracking.
func (w *work) finishPeak(r *peakRun) {
	s := w.s
	res := w.newPeak(r)
	for axis := range r.Points {
		shape := r.Shape
		if axis == 1 {
			shape.Bend = w.bend(r)
		}
		if why := res.lay(r, axis, r.Points[axis], shape); why.Code != "" && res.Why.Code == "" {
			res.Why = message.Of([2]message.Code{"peak.across", "peak.up"}[axis], why)
		}
	}
	res.setFound()
	if res.Why.Code == "" && max(math.Abs(res.Found.Cross.Deg()), math.Abs(res.Found.El.Deg())) > pointing.MaxTrim {
		res.Why = message.Of("peak.far", int(pointing.MaxTrim))
	}
	res.Observation = w.observation(res)
	s.Peak.Run, s.Peak.Last, s.Peak.Used = nil, res, false
	w.excurse(pointing.Excursion{})
	if res.Why.Code != "" {
		w.say(alarm.Warning, "peak.unusable", w.in.Target.InWords(), res.Why)
		return
	}
	w.observe(res.Observation)
	w.say(alarm.Normal, "peak.done",
		w.in.Target.InWords(), res.Found.Cross, res.Found.El, res.SignalDB)
}

// observation is a peak as the survey of the mount takes it: where the beam should have
// looked, and where the axes stood with most noise.
func (w *work) observation(res *PeakResult) mount.Observation {
	d, _, _ := w.c.Place(w.in.Target, res.At)
	chain := w.in.Beam.Chain
	chain.Trim = res.Found
	across, up := w.unsureAxis(mount.Azimuth).Mul(d.El.Cos()), w.unsureAxis(mount.Elevation)
	return mount.Observation{
		At: res.At, Boresight: d.Boresight(chain.Squint), Axes: chain.Axes(d),
		Sigma:  [2]unit.Angle{inQuadrature(res.Error.Cross, across), inQuadrature(res.Error.El, up)},
		Target: res.Target, Band: res.Band,
	}
}

// bend is how the noise without the target bends along a sweep in elevation: the air's and the ground's, which rise
// towards the horizon.
func (w *work) bend(r *peakRun) (bend [2]float64) {
	h := w.in.Antenna
	d, _, ok := w.c.Place(r.Choice, w.in.At)
	if h == nil || !ok {
		return bend
	}
	scene, _, _ := budget.Around(w.c.Sky, w.c.Galaxy, h.Listener.Place, h.Listener.Pattern.Hz, w.in.At)
	switch r.Choice.Kind {
	case station.Moon:
		scene.Moon = noise.Disc{}
	case station.Sun:
		scene.SunFlux = 0
	case station.Source:
		scene.Sources = nil
	}
	const steps = 12
	reach := r.Shape.Width.Mul(sweepWidths).Rad()
	a, b := mat.NewDense(steps+1, 4, nil), mat.NewVecDense(steps+1, nil)
	for i := range steps + 1 {
		x := reach * (2*float64(i)/steps - 1)
		parts := h.Listener.Pattern.Hear(space.Direction(d.Az, d.El+unit.Angle(x)), scene, noise.Fine)
		for power := range 4 {
			a.Set(i, power, math.Pow(x/reach, float64(power)))
		}
		b.SetVec(i, parts.TotalK()+h.Listener.Receiver.K())
	}
	var found mat.VecDense
	if err := found.SolveVec(a, b); err != nil || !(found.AtVec(0) > 0) {
		return bend
	}
	return [2]float64{
		found.AtVec(2) / found.AtVec(0) / (reach * reach),
		found.AtVec(3) / found.AtVec(0) / (reach * reach * reach),
	}
}

// unsureAxis is how well an axis is known to stand where its encoder says, a standard deviation: a count, anywhere in
// which it may stand, and the backlash where the encoder sits before it and the axis comes from either side.
func (w *work) unsureAxis(axis int) unit.Angle {
	a := w.c.Settings.Axes.Azimuth
	if axis == mount.Elevation {
		a = w.c.Settings.Axes.Elevation
	}
	even := func(width unit.Angle) unit.Angle { return width.Div(math.Sqrt(12)) } // of an even distribution
	sigma := even(w.in.Loop.Axes[axis].Step)
	if a.Encoder == settings.OnMotorShaft && a.Approach == settings.Either {
		sigma = inQuadrature(sigma, even(degrees(a.BacklashDeg)))
	}
	return sigma
}

func inQuadrature(a, b unit.Angle) unit.Angle { return unit.Angle(math.Hypot(a.Rad(), b.Rad())) }

// usable reports whether the newest peak's trim may be used now.
func (w *work) usable() bool {
	p, s := w.s.Peak.Last, w.s
	if p == nil || p.Why.Code != "" || s.Peak.Used || s.Peak.Run != nil {
		return false
	}
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	return p.Band == band && p.Feed == feed && p.Kind == w.in.Target.Kind
}

// usePeak makes what the newest peak found the trim.
func (w *work) usePeak() {
	s := w.s
	if !w.usable() {
		w.say(alarm.Warning, "peak.none-new")
		return
	}
	w.pressed()
	w.ask(Trim{s.Peak.Last.Found})
	s.Peak.Used = true
	w.say(alarm.Normal, "peak.applied", s.Peak.Last.Found.Cross, s.Peak.Last.Found.El)
}

// peakStatus is how the taking of a peak stands.
func (w *work) peakStatus() Peak {
	s := w.s
	p := Peak{Last: s.Peak.Last, Usable: w.usable(), Applied: s.Peak.Last != nil && s.Peak.Used}
	r := s.Peak.Run
	if r == nil {
		return p
	}
	p.Running, p.Quick, p.SoFar = true, r.Quick, r.SoFar
	leg := r.Legs[r.Leg]
	switch {
	case !r.There:
		p.Doing = message.Of([2]message.Code{"peak.doing.to-start-across", "peak.doing.to-start-up"}[leg.Axis])
	case leg.From == leg.To:
		p.Doing = message.Of("peak.doing.stop")
	default:
		p.Doing = message.Of([2]message.Code{"peak.doing.across", "peak.doing.up"}[leg.Axis])
	}
	each := peakStop + peakMoves
	if !r.Quick {
		each = w.sweepTime(r) + peakMoves
	}
	// What remains takes as long as it should: the first step alone has the way to the start in it.
	p.Progress = course{r.LegBegun, r.LegBegun}.progress(w.in.Now, 0, len(r.Legs)-r.Leg, each)
	p.Step, p.Steps = r.Leg+1, len(r.Legs)
	part := 0.0
	if r.There && r.End.After(r.Begin) {
		part = max(0, min(1, float64(w.in.At.Sub(r.Begin))/float64(r.End.Sub(r.Begin))))
	}
	p.Part = (float64(r.Leg) + part) / float64(len(r.Legs))
	return p
}
