package level

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/meter"
	"beamhelm/drive/step"
)

// snapshots is a loop whose azimuth runs up steadily, a tenth of a second at a time.
type snapshots struct {
	settings settings.Settings
	s        State
	loop     step.Status
	at       time.Time
	levels   []Measured
}

func newSnapshots(t *testing.T) *snapshots {
	n := &snapshots{settings: settings.Practice(), at: time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)}
	n.loop.Now = time.Second
	n.loop.HasMotion = true
	n.loop.Motion.More |= enclosure.MoreClean
	n.loop.Motion.SinceKeyed = 60000
	for i := range n.loop.Axes {
		n.loop.Axes[i].Fitted, n.loop.Axes[i].Trusted = true, true
		n.loop.Axes[i].Position = degrees([2]float64{105.4, 40.1}[i])
	}
	return n
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func (n *snapshots) inputs() *Inputs {
	return &Inputs{At: n.at, Now: n.loop.Now, Loop: &n.loop, Feed: &n.settings.Bands[0].Feeds[0], AverageS: 1}
}

// next is a tick later, with that reading.
func (n *snapshots) next(microvolts int32) {
	n.loop.Now += 100 * time.Millisecond
	n.at = n.at.Add(100 * time.Millisecond)
	n.loop.Link.Replies++
	n.loop.Link.Snapshot = n.loop.Now - 40*time.Millisecond
	n.loop.Axes[0].Position += degrees(0.15)
	n.loop.Motion.DetectorUV = microvolts
	n.levels = append(n.levels, Step(&n.settings.Meter, &n.s, n.inputs())...)
}

// other is what another meter sends, a tick later.
func (n *snapshots) other(samples ...meter.Sample) []Measured {
	in := n.inputs()
	in.Other, in.HasOther = samples, true
	return Step(&n.settings.Meter, &n.s, in)
}

func (n *snapshots) newest() Measured { return n.levels[len(n.levels)-1] }

// A level belongs to where the axes stood in the middle of its mean, half way
// between two snapshots.
func TestAxesInTheMiddleOfAMean(t *testing.T) {
	n := newSnapshots(t)
	for i := range 10 {
		n.next(int32(500000 + i))
	}
	one := n.newest()
	if want := n.loop.Axes[0].Position - degrees(0.075); math.Abs((one.Axes.Az-want).Deg()) > 1e-9 || !one.Trusted {
		t.Errorf("azimuth %.4f, want %.4f; trusted %v", one.Axes.Az.Deg(), want.Deg(), one.Trusted)
	}
	want := n.loop.Link.Snapshot - 50*time.Millisecond
	if one.Now != want || !one.At.Equal(n.at.Add(-90*time.Millisecond)) {
		t.Errorf("at %v, want %v; %v", one.Now, want, one.At)
	}
	// After a break of seconds nothing between the two ends is known.
	n.loop.Now += 5 * time.Second
	n.next(500100)
	if got := n.newest().Axes.Az; got != n.loop.Axes[0].Position {
		t.Errorf("after a break azimuth %.4f, not the newest known", got.Deg())
	}
}

// Where several things are wrong with a level the gravest is told: a meter at
// its limit before a silent one, that before transmitting, that before the sequencer.
func TestFlawsInOrder(t *testing.T) {
	n := newSnapshots(t)
	set := func(keyed bool, sinceMS uint16, clean bool) {
		n.loop.Permit.Keyed, n.loop.Motion.SinceKeyed = keyed, sinceMS
		n.loop.Motion.More &^= enclosure.MoreClean
		if clean {
			n.loop.Motion.More |= enclosure.MoreClean
		}
	}
	for _, c := range []struct {
		microvolts int32
		keyed      bool
		since      uint16
		clean      bool
		want       Flaw
	}{
		{500000, false, 60000, true, Sound},
		{500001, false, 60000, false, NotClean},
		{500002, false, 100, false, Keyed},
		{500003, true, 0, false, Keyed},
		{0, true, 0, false, Silent},
		{1990000, true, 0, false, Overloaded},
		{500004, false, 201, true, Sound},
	} {
		set(c.keyed, c.since, c.clean)
		if n.next(c.microvolts); n.newest().Flaw != c.want {
			t.Errorf("%+v: %v", c, n.newest().Flaw)
		}
	}
	set(false, 60000, true)
	for range 31 {
		n.next(500005)
	}
	if n.newest().Flaw != Silent {
		t.Error("the same to the microvolt for three seconds: not told as silent")
	}
}

// A measured table is followed between its points and beyond its ends.
func TestDetectorTable(t *testing.T) {
	feed := settings.Feed{
		DetectorSlopeMVPerDB: 25, DetectorOffsetDB: 1,
		DetectorTableMV: []float64{0, 100, 300}, DetectorTableDB: []float64{-5, 0, 5},
	}
	for mv, want := range map[float64]float64{0: -4, 50: -1.5, 100: 1, 200: 3.5, 300: 6, 340: 7, -20: -5} {
		if got := Of(&feed, int32(mv*1000)); math.Abs(got-want) > 1e-9 {
			t.Errorf("%v mV are %v dB, want %v", mv, got, want)
		}
	}
	feed.DetectorTableMV, feed.DetectorTableDB = nil, nil
	if got := Of(&feed, 250000); got != 11 {
		t.Errorf("by the slope %v dB, want 11", got)
	}
}

// Another meter's samples have the axes of their own middle, and their flaws; its silence is told.
func TestAnotherMeter(t *testing.T) {
	n := newSnapshots(t)
	for i := range 60 {
		n.next(int32(500000 + i))
	}
	got := n.other(meter.Sample{Age: 2 * time.Second, LevelDB: 7}, meter.Sample{Flaw: meter.Nonsense},
		meter.Sample{Flaw: meter.Overloaded})
	// Two seconds ago it stood twenty ticks further back, but for the time that the snapshot is old.
	if back := (n.loop.Axes[0].Position - got[0].Axes.Az).Deg(); math.Abs(back-(20-0.4)*0.15) > 0.03 {
		t.Errorf("two seconds ago it stood %.3f degrees further back", back)
	}
	if got[0].LevelDB != 7 || got[0].Flaw != Sound || got[1].Flaw != Nonsense || got[2].Flaw != Overloaded {
		t.Errorf("%+v", got)
	}
	n.loop.Permit.Keyed = true
	if got := n.other(meter.Sample{LevelDB: 40}); got[0].Flaw != Keyed {
		t.Errorf("while transmitting: %v", got[0].Flaw)
	}
	n.loop.Permit.Keyed = false
	silent := 0
	for range 60 {
		n.next(1)
		for _, one := range n.other() {
			if one.Flaw == Silent {
				silent++
			}
		}
	}
	if silent != 3 && silent != 4 {
		t.Errorf("in six silent seconds silence is told %d times", silent)
	}
	if mean := n.s.Mean.DB(); math.Abs(mean-7) > 20 {
		t.Errorf("mean %v dB", mean)
	}
}
