//go:build !race

// Without the race detector, which makes it slow: nothing here runs beside anything.

package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/ownecho"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// echoing is a bench on the Moon with somebody who keys.
type echoing struct {
	*bench
	p      ownecho.Progress
	stops  uint64
	beside mount.Offset // where the beam is beside the place that the trim gives it
}

func newEchoing(t *testing.T) *echoing {
	b := &echoing{bench: newBench(t), p: ownecho.Progress{Has: true}}
	b.galaxy()
	b.after(0, Track{On: true})
	b.pass(100 * time.Millisecond)
	return b
}

// pass lets time pass, on the target, and takes orders.
func (b *echoing) pass(d time.Duration, orders ...Order) {
	b.at, b.now = b.at.Add(d), b.now+d
	b.loop.Now = b.now
	moon, _, _ := b.c.Place(b.s.Choice, b.at)
	axes := b.s.chain(&b.c).Axes(moon.Shift(b.beside))
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = axes.Az, axes.El
	b.out = Step(&b.c, &b.s, &Inputs{At: b.at, Now: b.now, Loop: &b.loop, Orders: given(orders, b.stops),
		NoiseDB: math.NaN(), OwnEcho: b.p, Stops: b.stops})
	b.asked = nil
	for _, m := range b.out.Commands {
		b.obey(m)
	}
}

// begun is a bench with a run under way.
func begun(t *testing.T) *echoing {
	b := newEchoing(t)
	b.pass(100 * time.Millisecond)
	if e := b.out.Status.OwnEcho; e.Why.Code != "" || e.Plan == nil || e.Plan.Cycles != 10 || e.Request != nil {
		t.Fatalf("before: %+v", e)
	}
	b.pass(100*time.Millisecond, MeasureEchoes{Cycles: 5})
	if b.out.Status.OwnEcho.Waiting || b.out.Status.PermitRequested {
		t.Fatal("saying how many cycles begins")
	}
	b.pass(100*time.Millisecond, MeasureEchoes{On: true})
	if !b.out.Status.PermitRequested || b.out.Status.OwnEcho.Request != nil {
		t.Fatalf("the permit isn't asked for first: %+v", b.out.Status.OwnEcho)
	}
	b.pass(100 * time.Millisecond)
	r := b.out.Status.OwnEcho.Request
	if r == nil || r.Number != 1 || r.Config.Cycles != 5 || r.Config.ByHand || r.SpreadHz == 0 {
		t.Fatalf("with the permit: %+v", b.out.Status.OwnEcho)
	}
	b.p.Run, b.p.Running = 1, true
	b.pass(100 * time.Millisecond)
	return b
}

// A run is asked for with the permit, ends with its result beside the budget, and takes the permit that was requested
// for it back.
func TestOwnEchoes(t *testing.T) {
	b := begun(t)
	b.p.Running, b.p.Complete, b.p.Counted = false, true, 5
	b.pass(100 * time.Millisecond)
	if b.out.Status.OwnEcho.Request != nil || b.out.Status.PermitRequested || b.loop.Permit.Granted {
		t.Errorf("after the run: %+v, permit %v", b.out.Status.OwnEcho, b.out.Status.PermitRequested)
	}
	want := b.out.Status.Radio.Budget.DensityDBHz
	b.p.Found, b.p.Final = &ownecho.Result{Cycles: 5, Detected: true, CN0DBHz: want - 2, CN0ErrorDB: 1}, true
	b.pass(100 * time.Millisecond)
	b.pass(100 * time.Millisecond)
	e := b.out.Status.OwnEcho
	if e.Last == nil || len(e.Before) != 1 || e.Last.Band == "" {
		t.Fatalf("%+v", e)
	}
	if db, within, ok := e.Last.Difference(); !ok || math.Abs(db+2) > 0.1 || math.Abs(within-math.Hypot(1, 3)) > 1e-9 {
		t.Errorf("difference %.2f ±%.2f, %v", db, within, ok)
	}
	var again echoesState
	again.take(append(e.Before, ownecho.Result{CN0DBHz: math.NaN(), At: b.at, Band: "x"}))
	if len(again.Results) != 1 {
		t.Errorf("%d are taken up again", len(again.Results))
	}
}

// A permit that the operator had requested stays after the run.
func TestOwnEchoesLeaveTheOperatorsPermit(t *testing.T) {
	b := newEchoing(t)
	b.pass(100*time.Millisecond, Permit{On: true})
	b.pass(100*time.Millisecond, MeasureEchoes{On: true})
	b.pass(100 * time.Millisecond)
	b.p.Run, b.p.Complete = 1, true
	b.pass(100 * time.Millisecond)
	if b.out.Status.OwnEcho.Request != nil || !b.out.Status.PermitRequested {
		t.Errorf("%+v, permit %v", b.out.Status.OwnEcho, b.out.Status.PermitRequested)
	}
}

// What stands against a run refuses it, without a permit.
func TestOwnEchoesRefused(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(*echoing)
		why   message.Code
	}{
		"nobody keys":     {func(b *echoing) { b.p = ownecho.Progress{} }, "echoes.no-output"},
		"another target":  {func(b *echoing) { b.pass(0, Hold{}) }, "echoes.track-moon"},
		"no line":         {func(b *echoing) { b.p.Trouble = "the keying line: gone" }, "text"},
		"lower sideband":  {func(b *echoing) { b.c.Settings.Audio.Sideband = "lower" }, "echoes.sideband"},
		"a wrong setting": {func(b *echoing) { b.c.Settings.Audio.PitchHz = 3000 }, "echoes.dials-apart"},
	} {
		b := newEchoing(t)
		row.spoil(b)
		b.pass(100 * time.Millisecond)
		b.pass(100*time.Millisecond, MeasureEchoes{On: true})
		b.pass(100 * time.Millisecond)
		e := b.out.Status.OwnEcho
		if e.Why.Code != row.why || e.Waiting || e.Request != nil || b.out.Status.PermitRequested {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

// The end of a run, however it comes, takes the request back, so that nothing keys; a Stop makes a press before it
// void.
func TestOwnEchoesEnd(t *testing.T) {
	for name, end := range map[string]func(*echoing){
		"by the sheet":     func(b *echoing) { b.pass(100*time.Millisecond, MeasureEchoes{}) },
		"the end of a job": func(b *echoing) { b.pass(100*time.Millisecond, EndJob{}) },
		"a Stop":           func(b *echoing) { b.stops++; b.pass(100 * time.Millisecond) },
		"by who keys": func(b *echoing) {
			b.p.Running, b.p.Ended = false, message.Of("echoes.run.trip")
			b.pass(100 * time.Millisecond)
		},
		"refused": func(b *echoing) {
			b.p.Running, b.p.Refused = false, message.Of("echoes.run.no-sound")
			b.pass(100 * time.Millisecond)
		},
		"it stays keyed": func(b *echoing) {
			b.p.Running, b.p.Ended, b.p.StillKeyed = false, message.Of("echoes.run.late"), true
			b.pass(100 * time.Millisecond)
		},
	} {
		b := begun(t)
		end(b)
		b.p.Running = false
		b.pass(100 * time.Millisecond)
		if b.out.Status.OwnEcho.Request != nil || b.out.Status.PermitRequested || b.loop.Permit.Granted {
			t.Errorf("%s: %+v, permit %v", name, b.out.Status.OwnEcho, b.out.Status.PermitRequested)
		}
	}
	b := newEchoing(t)
	order := MeasureEchoes{On: true}
	b.stops++ // the Stop came after the press
	b.pass(100*time.Millisecond, order)
	if b.out.Status.OwnEcho.Waiting {
		t.Error("a press before the Stop counts")
	}
}
