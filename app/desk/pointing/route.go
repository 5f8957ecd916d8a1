package pointing

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// A course has a knot every knotEvery, and is renewed long before it runs out.
const (
	knotEvery   = 5 * time.Second
	sweepKnots  = time.Second // while the beam is swept, which bends the way
	knots       = 13
	RenewEvery  = time.Second
	rateAround  = 500 * time.Millisecond
	routeEvery  = time.Minute // between two samples of a route
	RouteAnew   = time.Hour   // after which a route is planned again
	longestPass = 26 * time.Hour
)

// Route is the branch of the cable wrap for a pass.
type Route struct {
	Has  bool
	For  station.Target
	From time.Time // of sample time 0
	Plan mount.Plan
}

// Plan works the way through the pass out: from at until the target sets, beginning near an azimuth.
func (b *Beam) Plan(at time.Time, azimuth unit.Angle) Route {
	c := b.Config
	var pass []mount.Sample
	minimum := c.Min()
	chain := b.Chain
	for t := time.Duration(0); t <= longestPass; t += routeEvery {
		d, _, ok := b.Config.Place(b.Target, at.Add(t))
		if !ok || t > 0 && d.El < minimum {
			break
		}
		pass = append(pass, mount.Sample{At: t, AxisAngles: chain.Axes(d)})
		if b.Target.Kind == station.Fixed {
			break
		}
	}
	axis := c.Drive.Axes[mount.Azimuth]
	plan := mount.Route(pass, axis.Limits, azimuth, axis.Drive.TopSpeed/unit.Angle(b.scale()))
	return Route{Has: true, For: b.Target, From: at, Plan: plan}
}

// scale is how many times as fast as the axes the sky moves on.
func (b *Beam) scale() time.Duration { return time.Duration(max(1, b.TimeScale)) }

// azimuthNear is the azimuth on the cable wrap that the route has at a moment,
// and whether it is the route itself (through a zenith passage) or only its branch.
func (r *Route) azimuthNear(at time.Time) (az unit.Angle, exact bool) {
	samples := r.Plan.Samples
	if len(samples) == 0 {
		return 0, false
	}
	t := at.Sub(r.From)
	for _, z := range r.Plan.Zeniths {
		exact = exact || t >= z.From && t <= z.To
	}
	i := int(t / routeEvery)
	if i >= len(samples)-1 || i < 0 {
		return samples[max(0, min(i, len(samples)-1))].Az, exact
	}
	a, b := samples[i], samples[i+1]
	if math.Abs((b.Az - a.Az).Rad()) > math.Pi {
		return a.Az, exact // an unwrap begins at b
	}
	return a.Az + (b.Az - a.Az).Mul(float64(t-a.At)/float64(b.At-a.At)), exact
}

// UnwrapAt is the unwrap in progress at a moment.
func (r *Route) UnwrapAt(at time.Time) (mount.Unwrap, bool) {
	t := at.Sub(r.From)
	for _, u := range r.Plan.Unwraps {
		if t >= u.At && t < u.At+u.Lasts+2*time.Second {
			return u, true
		}
	}
	return mount.Unwrap{}, false
}

// OnRoute are the axis angles of the route at a moment, above the structures and
// within the limits.
func (b *Beam) OnRoute(at time.Time) (mount.AxisAngles, bool) {
	c := b.Config
	near, exact := b.Route.azimuthNear(at)
	d, ok := b.axesAt(at, near)
	if !ok {
		return d, false
	}
	if exact {
		d.Az = near
	}
	d.El = max(d.El, c.Over(d.Az))
	for i, a := range [...]*unit.Angle{&d.Az, &d.El} {
		if c.Drive.Axes[i].Fitted {
			*a = c.Drive.Axes[i].Limits.Clamp(*a)
		}
	}
	return d, true
}

// Course is the next minute of axis angles, from now in the loop's time. Where an unwrap begins meanwhile it ends
// before it.
func (b *Beam) Course(now step.Nanos) (course step.Course, ok bool) {
	c, at := b.Config, b.At
	every := knotEvery
	if b.Excursion.Sweeps(at) {
		every = sweepKnots
	}
	for i := range knots {
		t := at.Add(time.Duration(i) * every * b.scale())
		d, ok := b.OnRoute(t)
		if !ok {
			return course, false
		}
		if i > 0 && math.Abs((d.Az-course.Knots[i-1].Axes.Az).Rad()) > math.Pi/2 {
			break
		}
		before, _ := b.OnRoute(t.Add(-rateAround * b.scale()))
		after, _ := b.OnRoute(t.Add(rateAround * b.scale()))
		knot := step.Knot{At: now + time.Duration(i)*every, Axes: d}
		span := (2 * rateAround).Seconds()
		if jump := (after.Az - before.Az).Rad(); math.Abs(jump) < math.Pi/2 {
			knot.AzRate = jump / span
		}
		// Where the way is bounded it bends: there the axis needs no rate.
		if climb := (after.El - before.El).Rad() / span; math.Abs(
			climb,
		) <= c.Drive.Axes[mount.Elevation].Drive.TopSpeed.Rad() {
			knot.ElRate = climb
		}
		course.Knots[i] = knot
		course.Count = i + 1
	}
	return course, course.Count >= 2
}

// Notes tell what is special about the way through a pass.
func (r *Route) Notes() []message.Message {
	var notes []message.Message
	if r.Plan.Beyond {
		notes = append(notes, message.Of("pointing.beyond"))
	}
	for _, u := range r.Plan.Unwraps {
		notes = append(notes, message.Of("pointing.unwrap", r.From.Add(u.At), u.Lasts))
	}
	for _, z := range r.Plan.Zeniths {
		notes = append(notes, message.Of("pointing.near-zenith", r.From.Add(z.From), z.Worst))
	}
	return notes
}
