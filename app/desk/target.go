package desk

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/ephem"
)

// lookAhead is how far ahead rises and sets are looked for.
const lookAhead = 48 * time.Hour

// riseEvery is how often they are looked for again.
const riseEvery = 30 * time.Second

// target brings what is known of the target up to date.
func (t *work) target() Target {
	s, c, at := t.s, t.c, t.in.At
	d, look, ok := c.Place(s.Choice, at)
	target := Target{Choice: s.Choice.BodyChoice, Name: t.s.Choice.BareName()}
	if !ok {
		return target
	}
	target.Az, target.El, target.Up = d.Az, d.El, d.El >= c.Min()
	if s.Choice.Kind == Fixed {
		return target
	}
	target.DistanceKm, target.RangeRateMps, target.Diameter = look.DistanceKm, look.RangeRateMps, look.Diameter
	switch {
	case look.Origin == ephem.FromSeries:
		target.Dubious = message.Of("target.outside-ephemeris")
	case look.Dubious && c.Beamwidth(s.Band, s.Feed).Deg() < 0.1:
		// A leap second that is not known yet moves the sky by 0.004 degree:
		// worth saying only for a beam that would notice.
		target.Dubious = message.Of("target.leap-seconds")
	}
	stale := at.Sub(s.TargetAt) >= riseEvery || at.Before(s.TargetAt) || target.Up != s.WasUp
	if stale || s.Target.Choice != s.Choice.BodyChoice {
		s.TargetAt, s.WasUp = at, target.Up
		events(c, s.Choice, at, &target)
	} else {
		target.Rise, target.Set = s.Target.Rise, s.Target.Set
		target.Highest, target.HighestEl = s.Target.Highest, s.Target.HighestEl
	}
	s.Target = target
	return target
}

// events looks for the next rise, set and highest moment.
func events(c *Config, choice station.Target, at time.Time, target *Target) {
	body, ok := choice.Body()
	if !ok {
		return
	}
	site, air, minimum := c.Site(), c.Air(), c.Min()
	target.Rise, _ = c.Sky.NextRise(site, body, air, minimum, at, lookAhead)
	target.Set, _ = c.Sky.NextSet(site, body, air, minimum, at, lookAhead)
	from, to := at, at.Add(24*time.Hour)
	switch {
	case target.Up && !target.Set.IsZero():
		from, to = at.Add(-12*time.Hour), target.Set
	case !target.Up && !target.Rise.IsZero():
		from = target.Rise
		to, ok = c.Sky.NextSet(site, body, air, minimum, from, lookAhead)
		if !ok {
			to = from.Add(24 * time.Hour)
		}
	}
	target.Highest = c.Sky.Highest(site, body, from, to)
	look := c.Sky.Look(site, body, target.Highest)
	target.HighestEl = air.Refracted(look.El)
}

// bodies are the marks of the panorama: Moon, Sun and the sources.
func (t *work) bodies() []Body {
	c, at := t.c, t.in.At
	if t.s.Marks == nil {
		t.s.Marks = []station.Target{c.Moon(), c.Sun()}
		for _, source := range c.Sources {
			t.s.Marks = append(t.s.Marks, c.Target(BodyChoice{Kind: Source, Name: source.Name}))
		}
	}
	choices := t.s.Marks
	if t.s.Choice.Kind == Radec || t.s.Choice.Kind == Fixed {
		choice := t.s.Choice
		choice.Name = t.s.Choice.BareName()
		choices = append(slices.Clip(choices), choice)
	}
	bodies := make([]Body, 0, len(choices))
	for _, choice := range choices {
		if d, look, ok := c.Place(choice, at); ok {
			bodies = append(
				bodies,
				Body{Kind: choice.Kind, Name: choice.Name, Az: d.Az, El: d.El, Diameter: look.Diameter},
			)
		}
	}
	return bodies
}

// sceneEvery is how often the arcs are drawn again.
const sceneEvery = 10 * time.Minute

// sceneKey is what a scene belongs to.
type sceneKey struct {
	Choice         station.Target
	Band           int
	Partners, With string
}

// share marks the points of the target's arc at which the partner in use has it up too.
func (t *work) share(choice station.Target, points []ArcPoint) {
	there, hasPartner := t.s.Radio.Partner()
	body, ok := choice.Body()
	if !hasPartner || !ok {
		return
	}
	minimum, horizon, air := t.c.Min(), t.c.Horizon(), t.c.Air()
	for i := range points {
		p := &points[i]
		el := air.Refracted(t.c.Sky.Look(there, body, p.At).El)
		p.Shared = p.El >= max(minimum, station.LowestFree(horizon, p.Az)) && el >= minimum
	}
}

// scene is what changes seldom; the same pointer while nothing does.
func (t *work) scene() *Scene {
	s, c, at := t.s, t.c, t.in.At
	age := at.Sub(s.SceneAt)
	key := sceneKey{s.Choice, s.Band, s.Radio.List, s.Radio.Chosen}
	if s.Scene != nil && s.SceneFor == key && age >= 0 && age < sceneEvery {
		return s.Scene
	}
	s.SceneAt, s.SceneFor = at, key
	scene := &Scene{
		Horizon: c.Horizon(), Bands: bandsOf(c),
		Park:     station.PlaceOf(c.Settings.Park),
		WindStow: station.PlaceOf(c.Settings.WindStow),
		SnowStow: station.PlaceOf(c.Settings.SnowStow),
	}
	for i := range c.Drive.Axes {
		l := c.Drive.Axes[i].Limits
		scene.SoftLow[i], scene.SoftHigh[i] = l.SoftLow, l.SoftHigh
		scene.EndLow[i], scene.EndHigh[i] = l.EndLow, l.EndHigh
		scene.TopPerS[i] = c.Drive.Axes[i].Drive.TopSpeed
		scene.AccelerationPerS2[i] = c.Drive.Axes[i].Drive.Acceleration
	}
	for _, o := range c.Settings.Structures {
		scene.Structures = append(
			scene.Structures,
			Structure{o.Name, degrees(o.FromDeg), degrees(o.ToDeg), degrees(o.MinElevationDeg)},
		)
	}
	for _, o := range c.Settings.ClosedSectors {
		if closedOn(c, o.Bands, s.Band) {
			scene.Closed = append(
				scene.Closed,
				Sector{
					o.Name,
					degrees(o.FromDeg),
					degrees(o.ToDeg),
					degrees(o.FromElevationDeg),
					degrees(o.ToElevationDeg),
				},
			)
		}
	}
	choices := []station.Target{c.Moon(), c.Sun()}
	if k := s.Choice.Kind; k == Source || k == Radec {
		choices = append(choices, s.Choice)
	}
	for _, choice := range choices {
		scene.Arcs = append(scene.Arcs, arc(c, choice, at))
		if k := choice.Kind; choice == s.Choice || k == s.Choice.Kind && (k == Moon || k == Sun) {
			t.share(choice, scene.Arcs[len(scene.Arcs)-1].Points)
		}
	}
	s.Scene = scene
	return scene
}

func closedOn(c *Config, bands []string, band int) bool {
	for _, name := range bands {
		if name == c.Settings.Bands[band].Name {
			return true
		}
	}
	return len(bands) == 0
}

// arcEvery is the time between two points of an arc.
const arcEvery = 10 * time.Minute

// arc is the way of a body through this pass, or the next where it is down; at
// most a day of it, on whole tens of minutes so that the hours are among them.
func arc(c *Config, choice station.Target, at time.Time) Arc {
	out := Arc{Kind: choice.Kind, Name: choice.Name}
	body, ok := choice.Body()
	if !ok {
		return out
	}
	site, air := c.Site(), c.Air()
	from := at
	if d, _, _ := c.Place(choice, at); d.El < 0 {
		if from, ok = c.Sky.NextRise(site, body, air, 0, at, lookAhead); !ok {
			return out
		}
	}
	// Back to its rise, forward to its set, twelve hours each way at most from the pass's known moment.
	begin := from.Truncate(arcEvery)
	for begin.After(from.Add(-13*time.Hour)) && elevation(c, choice, begin) >= degrees(-1) {
		begin = begin.Add(-arcEvery)
	}
	for p := begin; p.Before(begin.Add(24 * time.Hour)); p = p.Add(arcEvery) {
		d, _, _ := c.Place(choice, p)
		out.Points = append(out.Points, ArcPoint{At: p, Az: d.Az, El: d.El})
		if p.After(from) && d.El < degrees(-1) {
			break
		}
	}
	return out
}

func elevation(c *Config, choice station.Target, at time.Time) unit.Angle {
	d, _, _ := c.Place(choice, at)
	return d.El
}

// bandsOf describes the bands, each with its first feed.
func bandsOf(c *Config) []Band {
	out := make([]Band, len(c.Settings.Bands))
	for i := range out {
		out[i] = bandOf(c, i, 0)
	}
	return out
}

func bandOf(c *Config, band, feed int) Band {
	b := c.Settings.Bands[band]
	out := Band{
		Name:      b.Name,
		MHz:       b.MHz,
		Feed:      b.Feeds[feed].Name,
		HalfPower: station.HalfPower(c.Settings.Dish, b.MHz, b.Feeds[feed]),
	}
	for _, f := range b.Feeds {
		out.Feeds = append(out.Feeds, f.Name)
	}
	return out
}

// finite is v, or otherwise where v is not a number.
func finite(v, otherwise float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return otherwise
	}
	return v
}

// thenBody marks where the plan's target will be, or was, at the moment that the operator looks at.
func (t *work) thenBody(bodies []Body) []Body {
	at := t.s.Radio.Month.Then
	if at.IsZero() {
		return bodies
	}
	target := t.s.Radio.PlanTarget(t.c)
	d, look, ok := t.c.Place(target, at)
	if !ok || d.El < 0 {
		return bodies
	}
	return append(bodies, Body{
		Kind:     Radec,
		Name:     target.BareName() + at.Format(", 2 Jan 15:04"),
		Az:       d.Az,
		El:       d.El,
		Diameter: look.Diameter,
	})
}
