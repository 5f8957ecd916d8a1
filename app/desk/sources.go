package desk

import (
	"slices"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/ephem/noise"
)

// RadioSource is a source of the catalogue, with what decides whether it is worth choosing now.
type RadioSource struct {
	Name string
	// Words say what it is.
	Words string
	// FluxJy is its flux density on the band in use, in jansky; 0 where none is known.
	FluxJy float64
	// Known says that Up, Rise and Set have been looked for. Up is above the lowest elevation of tracking; Rise and
	// Set are the next through it, zero when there is none within two days.
	Known     bool
	Up        bool
	Rise, Set time.Time
}

// sourcesEvery is how often rise and set of a source are looked for, unless one of them has passed.
const sourcesEvery = 10 * time.Minute

// sourcesState is the list of sources, which is replaced and never changed.
type sourcesState struct {
	List   []RadioSource
	Bodies []station.Target
	At     []time.Time // when the rise and set of each were looked for
	Band   int
}

// sources brings the list of sources up to date: rise and set of at most one of them in a
// step, so that a long catalogue makes no step long.
func (t *work) sources() []RadioSource {
	k, at := &t.s.Sources, t.in.At
	if k.List == nil {
		for _, source := range t.c.Sources {
			k.List = append(k.List, RadioSource{Name: source.Name, Words: source.Words})
			k.Bodies = append(k.Bodies, t.c.Target(BodyChoice{Kind: Source, Name: source.Name}))
		}
		k.At, k.Band = make([]time.Time, len(k.List)), -1
	}
	if k.Band != t.s.Band {
		k.Band, k.List = t.s.Band, slices.Clone(k.List)
		for i := range k.List {
			k.List[i].FluxJy = fluxJy(k.List[i].Name, t.c.Settings.Bands[k.Band].MHz*1e6, at)
		}
	}
	for i := range k.List {
		if k.List[i].stale(at.Sub(k.At[i]), at) {
			k.List, k.At[i] = slices.Clone(k.List), at
			t.passOf(&k.List[i], k.Bodies[i])
			break
		}
	}
	return k.List
}

// fluxJy is a source's flux density; 0 where none is known.
func fluxJy(name string, hz float64, at time.Time) float64 {
	jansky, _, err := noise.SourceFlux(name, hz, at)
	if err != nil {
		return 0
	}
	return jansky
}

// stale says whether rise and set have to be looked for again.
func (r *RadioSource) stale(age time.Duration, at time.Time) bool {
	passed := func(event time.Time) bool { return !event.IsZero() && !at.Before(event) }
	return !r.Known || age < 0 || age >= sourcesEvery || passed(r.Rise) || passed(r.Set)
}

// passOf looks for the next rise and set of a source.
func (t *work) passOf(r *RadioSource, target station.Target) {
	body, ok := target.Body()
	if !ok {
		return
	}
	site, air, minimum, at := t.c.Site(), t.c.Air(), t.c.Min(), t.in.At
	r.Known, r.Up = true, elevation(t.c, target, at) >= minimum
	r.Rise, _ = t.c.Sky.NextRise(site, body, air, minimum, at, lookAhead)
	r.Set, _ = t.c.Sky.NextSet(site, body, air, minimum, at, lookAhead)
}
