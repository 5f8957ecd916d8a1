//go:build !race

// Without the race detector, which makes it slow: nothing here runs beside anything.

package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// peaked is a bench with a peak on the echo under way, at the centre.
func peaked(t *testing.T) *echoing {
	b := newEchoing(t)
	b.pass(100*time.Millisecond, EchoPeakTo{On: true})
	b.pass(100 * time.Millisecond)
	if plan := b.out.Status.OwnEcho.Plan; plan == nil || !plan.Peak || plan.Cycles != 20 || !(plan.Reach > 0) {
		t.Fatalf("the plan: %+v", plan)
	}
	b.pass(100*time.Millisecond, MeasureEchoes{On: true})
	b.pass(100 * time.Millisecond)
	e := b.out.Status.OwnEcho
	if r := e.Request; r == nil || !r.Config.Peak || r.Beam.HalfPower == 0 || r.Beam.MoonRadius == 0 || e.Place != 0 {
		t.Fatalf("begun: %+v", e)
	}
	b.p.Run, b.p.Running = 1, true
	b.pass(100 * time.Millisecond)
	return b
}

// moves lets the progress ask for a place; the dish stays where it is.
func (b *echoing) moves(place int) mount.Offset {
	b.p.Place, b.p.Moving = place, true
	b.pass(100 * time.Millisecond)
	return b.out.Status.OwnEcho.Request.Config.Offset(place)
}

// A peak takes the beam to each place when it is asked for, says that it stands there when it does and not before, and
// ends with the beam back at the centre, its trim offered; applied, it is the trim.
func TestPeakOnTheEcho(t *testing.T) {
	b := peaked(t)
	trim := b.s.trim(&b.c)
	for place := 1; place < ownecho.Places; place++ {
		want := b.moves(place)
		if place > 1 { // never from side to side: that is further than a permitted beam may be off
			if b.s.Excursion != pointing.HeldAt(mount.Offset{}) {
				t.Fatalf("place %d: sent to %+v, not to the centre first", place, b.s.Excursion)
			}
			b.pass(2 * time.Second)
			b.beside = mount.Offset{}
			b.pass(100 * time.Millisecond)
		}
		if b.s.Excursion != pointing.HeldAt(want) {
			t.Fatalf("place %d: sent to %+v", place, b.s.Excursion)
		}
		b.pass(2 * time.Second)
		if e := b.out.Status.OwnEcho; e.Place != -1 {
			t.Fatalf("place %d: said to be at %d on the way", place, e.Place)
		}
		b.beside = want
		b.pass(100 * time.Millisecond)
		e := b.out.Status.OwnEcho
		if off := e.Off.Plus(trim.Plus(want).Minus()); e.Place != place ||
			math.Hypot(off.Cross.Deg(), off.El.Deg()) > 0.01 {
			t.Fatalf("place %d: at %d, %+v", place, e.Place, e.Off)
		}
	}
	b.p.Running, b.p.Complete, b.p.Counted = false, true, 20
	b.pass(100 * time.Millisecond)
	if b.s.Excursion != (pointing.Excursion{}) || b.out.Status.OwnEcho.Request != nil || b.out.Status.PermitRequested {
		t.Fatalf("after it: %+v", b.s.Excursion)
	}
	found := trim.Plus(mount.Offset{Cross: degrees(0.2), El: degrees(-0.1)})
	b.p.Found, b.p.Final = &ownecho.Result{Cycles: 20, Detected: true, CN0DBHz: 20, CN0ErrorDB: 1,
		Peak: &ownecho.Peak{Was: trim, Found: found}}, true
	b.pass(100 * time.Millisecond)
	b.pass(100 * time.Millisecond)
	e := b.out.Status.OwnEcho
	if !e.Usable || e.Last.Peak == nil || len(e.Before) != 1 || e.Before[0].Peak != nil || b.s.trim(&b.c) != trim {
		t.Fatalf("found: %+v", e)
	}
	b.pass(100*time.Millisecond, UseEchoPeak{On: true})
	b.pass(100 * time.Millisecond)
	if b.s.trim(&b.c) != found || b.out.Status.OwnEcho.Usable {
		t.Errorf("applied: %+v", b.s.trim(&b.c))
	}
}

// A peak that is discarded, or is of no use, leaves the trim.
func TestPeakOnTheEchoDiscarded(t *testing.T) {
	for name, row := range map[string]struct {
		why   message.Code
		order Order
	}{
		"discarded": {"", UseEchoPeak{}}, "of no use": {"echoes.peak.weak", UseEchoPeak{On: true}},
	} {
		b := peaked(t)
		trim := b.s.trim(&b.c)
		b.p.Running, b.p.Complete, b.p.Final = false, true, true
		b.p.Found = &ownecho.Result{Detected: true, CN0DBHz: 20,
			Peak: &ownecho.Peak{Why: message.Message{Code: row.why}, Found: mount.Offset{El: degrees(1)}}}
		b.pass(100 * time.Millisecond)
		b.pass(100*time.Millisecond, row.order)
		b.pass(100 * time.Millisecond)
		if b.s.trim(&b.c) != trim || b.out.Status.OwnEcho.Usable {
			t.Errorf("%s: trim %+v, %+v", name, b.s.trim(&b.c), b.out.Status.OwnEcho)
		}
	}
}

// However a peak ends, the beam goes back to the centre.
func TestPeakOnTheEchoEnds(t *testing.T) {
	for name, end := range map[string]func(*echoing){
		"by the sheet": func(b *echoing) { b.pass(100*time.Millisecond, MeasureEchoes{}) },
		"a Stop":       func(b *echoing) { b.stops++; b.pass(100 * time.Millisecond) },
		"by who keys": func(b *echoing) {
			b.p.Running, b.p.Ended = false, message.Of("echoes.run.trip")
			b.pass(100 * time.Millisecond)
		},
		"another trim": func(b *echoing) {
			b.pass(100*time.Millisecond, TrimTo{Trim: mount.Offset{El: degrees(0.3)}})
		},
		"the hold of all": func(b *echoing) { b.pass(100*time.Millisecond, Hold{}) },
	} {
		b := peaked(t)
		b.moves(2)
		if b.s.Excursion == (pointing.Excursion{}) {
			t.Fatal("not sent")
		}
		if end(b); name == "the hold of all" {
			b.p.Running, b.p.Ended = false, message.Of("echoes.run.moon-low")
		}
		b.pass(100 * time.Millisecond)
		if b.s.Excursion != (pointing.Excursion{}) || b.out.Status.OwnEcho.Request != nil {
			t.Errorf("%s: %+v", name, b.s.Excursion)
		}
	}
}

// Off source, or with a place out of reach, there is no peak.
func TestPeakOnTheEchoRefused(t *testing.T) {
	for name, spoil := range map[string]func(*echoing){
		"off source": func(b *echoing) { b.s.Excursion = pointing.Excursion{Sideways: degrees(5)} },
		"at a limit": func(b *echoing) {
			b.c.Drive.Axes[1].Limits.SoftHigh = b.loop.Axes[1].Position + degrees(0.01)
		},
		"too low soon": func(b *echoing) { b.c.Settings.Tracking.MinElevationDeg = 89 },
	} {
		b := newEchoing(t)
		b.pass(100*time.Millisecond, EchoPeakTo{On: true})
		b.pass(100 * time.Millisecond)
		spoil(b)
		b.pass(100*time.Millisecond, MeasureEchoes{On: true})
		if e := b.out.Status.OwnEcho; e.Waiting || e.Request != nil {
			t.Errorf("%s: %+v", name, e)
		}
	}
}
