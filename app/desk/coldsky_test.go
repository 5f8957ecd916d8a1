package desk

import (
	"math"
	"testing"
	"time"
)

// Cold sky belongs to band, feed and elevation: the nearest elevation counts,
// and one taken near an older one takes its place.
func TestColdSkyByElevation(t *testing.T) {
	b := newBench(t)
	take := func(el, level float64) {
		b.loop.Axes[1].Is = degrees(el)
		b.s.Peak.SoundAt, b.s.Peak.Flaw = b.now+time.Second, Sound
		b.at, b.now = b.at.Add(time.Second), b.now+time.Second
		b.loop.Now = b.now
		b.out = Step(&b.c, &b.s, &Inputs{At: b.at, Now: b.now, Loop: &b.loop, Orders: []Order{{Kind: TakeColdSky}}, NoiseDB: level})
	}
	take(20, 3)
	take(60, 1)
	take(22, 2.5)
	if len(b.s.Cold) != 2 {
		t.Fatalf("kept %+v", b.s.Cold)
	}
	for el, want := range map[float64]float64{5: 2.5, 30: 2.5, 45: 1, 85: 1} {
		b.loop.Axes[1].Is = degrees(el)
		b.after(time.Second)
		if n := b.out.Status.Noise; !n.HasCold || n.ColdDB != want {
			t.Errorf("at %v degrees cold sky is %v dB, want %v", el, n.ColdDB, want)
		}
	}
	b.s.Band = 1
	b.after(time.Second)
	if b.out.Status.Noise.HasCold {
		t.Error("another band has the same cold sky")
	}
}

// What was kept is taken up; what can't be a level is not.
func TestKeptColdSky(t *testing.T) {
	b := newBench(t)
	band, feed := b.c.Names(b.s.Band, b.s.Feed)
	good := ColdSky{Band: band, Feed: feed, El: degrees(40), LevelDB: 2, At: began}
	bad := good
	bad.LevelDB = math.NaN()
	never := good
	never.At = time.Time{}
	b.s.takeCold([]ColdSky{bad, good, never})
	b.after(time.Hour)
	if n := b.out.Status.Noise; len(b.s.Cold) != 1 || n.ColdDB != 2 || !n.ColdAt.Equal(began) {
		t.Errorf("kept %+v, shown %+v", b.s.Cold, n)
	}
}

// The averaging time is the setting's until another is chosen, and never silly.
func TestAveragingTime(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		ms   int
		want float64
	}{{3000, 3}, {0, 0.1}, {-5, 0.1}, {1 << 30, 30}} {
		b.after(time.Second, Order{Kind: AverageTo, Index: c.ms})
		if got := b.out.Status.Noise.AverageS; got != c.want {
			t.Errorf("%d ms: %v s", c.ms, got)
		}
	}
	if New(&b.c, nil); b.c.Settings.Meter.AverageS != 1 {
		t.Error("the setting has changed")
	}
}
