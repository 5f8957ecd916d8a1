package measuring

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/level"
	"beamhelm/app/message"
)

// Cold sky belongs to band, feed and elevation: the nearest elevation counts,
// and one taken near an older one takes its place.
func TestColdSkyByElevation(t *testing.T) {
	b := newBench(t)
	take := func(el, db float64) {
		b.loop.Axes[1].Position = degrees(el)
		b.after(time.Second, level.Measured{Now: b.in.Now + time.Second, LevelDB: db})
		b.in.NoiseDB = db
		b.order(TakeColdSky{})
		if len(b.out.Asks) != 1 {
			t.Errorf("at %v degrees asked for %v: what is usual learns of it", el, b.out.Asks)
		}
	}
	take(20, 3)
	take(60, 1)
	take(22, 2.5)
	if len(b.s.Cold) != 2 {
		t.Fatalf("kept %+v", b.s.Cold)
	}
	for el, want := range map[float64]float64{5: 2.5, 30: 2.5, 45: 1, 85: 1} {
		b.loop.Axes[1].Position = degrees(el)
		if n := b.shown().Noise; !n.HasCold || n.ColdDB != want {
			t.Errorf("at %v degrees cold sky is %v dB, want %v", el, n.ColdDB, want)
		}
	}
	b.in.Band = 1
	if b.shown().Noise.HasCold {
		t.Error("another band has the same cold sky")
	}
}

// A level that can't be used, or one of a beam under way, is not taken for cold sky.
func TestColdSkyIsRefused(t *testing.T) {
	b := newBench(t)
	b.in.NoiseDB = 3
	b.after(time.Second, level.Measured{Now: b.in.Now + time.Second, Flaw: level.Keyed})
	if b.order(TakeColdSky{}); len(b.s.Cold) != 0 || !b.said("coldsky.no-level") &&
		!b.said("level.keyed") {
		t.Errorf("while transmitting: %+v, %v", b.s.Cold, b.out.Events)
	}
	b.after(time.Second, level.Measured{Now: b.in.Now + time.Second, LevelDB: 3})
	b.in.Arriving = message.Of("desk.dish-moves")
	if b.order(TakeColdSky{}); len(b.s.Cold) != 0 || !b.said("desk.dish-moves") {
		t.Errorf("while it moves: %+v, %v", b.s.Cold, b.out.Events)
	}
}

// What was kept is taken up; what can't be a level is not.
func TestKeptColdSky(t *testing.T) {
	b := newBench(t)
	band, feed := b.c.Names(0, 0)
	good := ColdSky{Band: band, Feed: feed, El: degrees(40), LevelDB: 2, At: began}
	bad := good
	bad.LevelDB = math.NaN()
	never := good
	never.At = time.Time{}
	b.s = New(Kept{Cold: []ColdSky{bad, good, never}})
	b.after(time.Hour)
	if n := b.shown().Noise; len(b.s.Cold) != 1 || n.ColdDB != 2 || !n.ColdAt.Equal(began) {
		t.Errorf("kept %+v, shown %+v", b.s.Cold, n)
	}
}

// The averaging time is the setting's until another is chosen, and never silly.
func TestAveragingTime(t *testing.T) {
	b := newBench(t)
	if got := b.shown().Noise.AverageS; got != b.c.Settings.Meter.AverageS {
		t.Errorf("%v s before any is chosen", got)
	}
	for _, c := range []struct {
		ms   int
		want float64
	}{{3000, 3}, {0, 0.1}, {-5, 0.1}, {1 << 30, 30}} {
		b.order(AverageTo{c.ms})
		if got := b.shown().Noise.AverageS; got != c.want {
			t.Errorf("%d ms: %v s", c.ms, got)
		}
	}
}
