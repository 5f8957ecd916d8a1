package desk

import (
	"math"
	"testing"
	"time"
)

func (b *bench) source(name string) RadioSource {
	for _, s := range b.out.Status.Sources {
		if s.Name == name {
			return s
		}
	}
	b.t.Fatalf("%s is not among %v", name, b.out.Status.Sources)
	return RadioSource{}
}

// Rise and set of a source are the ends of its time above the lowest elevation of tracking, by the place of a
// step at that moment; one that never goes below it is always up, one that stays below it never.
func TestSourcesRiseAndSet(t *testing.T) {
	b := newBench(t)
	b.c.Settings.Tracking.MinElevationDeg = 10
	for range len(b.c.Sources) {
		b.after(100 * time.Millisecond)
	}
	el := func(name string, at time.Time) float64 {
		target := b.c.Target(BodyChoice{Kind: Source, Name: name})
		d, _, _ := b.c.Place(target, at)
		return d.El.Deg()
	}
	crossings := 0
	for _, s := range b.out.Status.Sources {
		if !s.Known || s.Up != (el(s.Name, b.at) >= b.c.Min().Deg()) {
			t.Errorf("%s is not known, or up %v at %.1f°", s.Name, s.Up, el(s.Name, b.at))
		}
		for i, event := range []time.Time{s.Rise, s.Set} {
			if event.IsZero() {
				continue
			}
			crossings++
			before, after := el(s.Name, event.Add(-time.Minute)), el(s.Name, event.Add(time.Minute))
			off := math.Abs(el(s.Name, event) - b.c.Min().Deg())
			if (after > before) != (i == 0) || off > 1e-3 || event.Before(b.at) {
				t.Errorf("%s: %v is no %s", s.Name, event, [...]string{"rise", "set"}[i])
			}
		}
	}
	if crossings < 4 {
		t.Errorf("%d rises and sets", crossings)
	}
	// At a latitude of 55° a source of declination +59° stands at 24° at its lowest (declination less 90° less
	// latitude), and one of -29° at 6° at its highest.
	if s := b.source("Cas A"); !s.Up || !s.Rise.IsZero() || !s.Set.IsZero() {
		t.Errorf("Cas A: %+v", s)
	}
	if s := b.source("Sgr A*"); s.Up || !s.Rise.IsZero() || !s.Set.IsZero() {
		t.Errorf("Sgr A*: %+v", s)
	}
}

// Rises are looked for seldom, at most those of one source in a step: when they are ten minutes old, when one
// has passed, and when the clock is set back.
func TestSourcesAreLookedForSeldom(t *testing.T) {
	b := newBench(t)
	looked := func() (n int) {
		before := append([]time.Time(nil), b.s.Sources.At...)
		b.after(100 * time.Millisecond)
		for i, at := range b.s.Sources.At {
			if before == nil || !at.Equal(before[i]) {
				n++
			}
		}
		return n
	}
	known := func() (n int) {
		for _, s := range b.out.Status.Sources {
			if s.Known {
				n++
			}
		}
		return n
	}
	for i := range b.c.Sources {
		first := b.out.Status
		if b.after(100 * time.Millisecond); known() != i+1 {
			t.Fatalf("after %d steps %d are known", i+1, known())
		}
		if first != nil && &first.Sources[0] == &b.out.Status.Sources[0] {
			t.Fatal("a published list was changed")
		}
	}
	if n := looked(); n != 0 {
		t.Errorf("%d looked for though nothing has changed", n)
	}
	b.at = b.at.Add(sourcesEvery)
	for range b.c.Sources {
		if n := looked(); n != 1 {
			t.Errorf("%d looked for in a step after %v", n, sourcesEvery)
		}
	}
	if n := looked(); n != 0 {
		t.Errorf("%d looked for once more", n)
	}
	tau := b.source("Tau A")
	b.at = tau.Set.Add(-5 * time.Second)
	for range 2 * len(b.c.Sources) {
		looked()
	}
	if b.at.After(tau.Set) || !b.source("Tau A").Up {
		t.Fatalf("it is up: %+v", b.source("Tau A"))
	}
	b.after(5 * time.Second)
	for range 2 {
		b.after(100 * time.Millisecond)
	}
	if s := b.source("Tau A"); s.Up || s.Rise.Before(b.at) {
		t.Errorf("after it has set: %+v", s)
	}
	b.at = b.at.Add(-time.Hour)
	if n := looked(); n != 1 {
		t.Errorf("%d looked for after the clock was set back", n)
	}
}

// The flux densities are those of the band in use, at once after a change. Perley and Butler 2017 (ApJS 230, 7)
// for Tau A by their table of coefficients; Baars et al. 1977 (A&A 61, 99) above 4 GHz.
func TestSourcesHaveTheFluxOfTheBand(t *testing.T) {
	b := newBench(t)
	for i, band := range b.c.Settings.Bands {
		b.after(100*time.Millisecond, BandTo{Band: i})
		x := math.Log10(band.MHz / 1000)
		var want float64
		switch {
		case band.MHz < 4000:
			want = math.Pow(10, 2.9516-0.2170*x-0.047*x*x-0.067*x*x*x)
		case band.MHz > 5500:
			want = math.Pow(10, 3.915-0.299*math.Log10(band.MHz))
		default:
			continue
		}
		if got := b.source("Tau A").FluxJy; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%s: %.2f Jy, want %.2f", band.Name, got, want)
		}
		if got := b.source("Sgr A*").FluxJy; got != 0 {
			t.Errorf("%s: Sgr A* %.2f Jy", band.Name, got)
		}
	}
}
