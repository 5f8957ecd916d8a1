package drive

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// boxLine is an exchanger straight onto a box, in whatever time the box keeps.
type boxLine struct {
	box  *rig.FakeEnclosure
	now  step.Nanos // how far the box has run
	dead bool       // nothing gets through
	// split is an enclosure that needs two requests for an exchange.
	split bool
	took  step.Nanos // an exchange takes; the request arrives after a third of it
	// clock makes an exchange take its time; nil in virtual time.
	clock func(step.Nanos) step.Nanos
	// before, if any, is told of each request first.
	before func(Request)
	mu     sync.Mutex
	sent   []Request
}

// asked are the requests so far.
func (l *boxLine) asked() []Request {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.sent)
}

func (l *boxLine) runTo(t step.Nanos) {
	if d := (t - l.now).Truncate(10 * time.Millisecond); d > 0 {
		l.box.Run(d)
		l.now += d
	}
}

func (l *boxLine) Exchange(r Request) Reply {
	at := r.At
	if l.before != nil {
		l.before(r)
	}
	if l.clock != nil {
		at = l.clock(0)
	}
	l.mu.Lock()
	l.sent = append(l.sent, r)
	l.mu.Unlock()
	if l.dead {
		if l.clock != nil {
			l.clock(r.Deadline - at)
		}
		return Reply{Err: errors.New("no reply within the deadline")}
	}
	l.runTo(at + l.took/3)
	reply := Reply{SentAt: at, ReceivedAt: at + l.took, Split: l.split}
	switch r.Ask {
	case AskMotion, AskSlow:
		l.box.Write(r.Demand)
		reply.Motion = l.box.Look()
	case AskIdentity:
		reply.Identity = l.box.Identity()
	case AskReadings, AskMoreReadings:
		reply.Readings = enclosure.NoReadings()
	}
	if l.clock != nil {
		l.clock(l.took)
	}
	return reply
}

func kept(box *rig.FakeEnclosure) (k [2]mount.Reference) {
	for i := range k {
		k[i] = mount.Reference{Start: box.Start, Origin: mount.ByHand, LastCounts: box.Axes[i].Counts}
	}
	return k
}

// virtual is a loop and its line in virtual time.
type virtual struct {
	*Loop
	line *boxLine
	now  step.Nanos
}

func usualBox() *rig.FakeEnclosure {
	c := step.Default()
	return rig.NewFakeEnclosure(&c, 100, 40)
}

func newVirtual(t *testing.T) *virtual {
	box := usualBox()
	line := &boxLine{box: box, took: 46 * time.Millisecond}
	c := Default()
	c.Kept.References = kept(box)
	l, err := New(line, c)
	if err != nil {
		t.Fatal(err)
	}
	return &virtual{Loop: l, line: line}
}

func (v *virtual) run(d time.Duration) {
	for end := v.now + d; v.now < end; v.now += v.config.Tick {
		v.Tick(v.now, time.Unix(1_800_000_000, 0).Add(v.now))
	}
}

func (v *virtual) powerOn(t *testing.T) {
	v.run(time.Second)
	v.Ask(step.Power{On: true, Asked: true})
	v.run(2 * time.Second)
	if s := v.Status(); s.Power != step.PowerOn || s.Mode != step.Holding {
		t.Fatalf("power %v, mode %v, events %v", s.Power, s.Mode, v.EventsSince(0))
	}
}

func TestLoopSlews(t *testing.T) {
	v := newVirtual(t)
	v.powerOn(t)
	v.Ask(rig.SlewTo(110, 45))
	v.run(20 * time.Second)
	s := v.Status()
	if s.Mode != step.Holding || s.Axes[0].Position.Deg() < 109.9 || s.Axes[0].Position.Deg() > 110.1 {
		t.Errorf("mode %v at %.2f degrees", s.Mode, s.Axes[0].Position.Deg())
	}
	if s.Link.State != step.LinkGood || s.Identity.MapVersion != enclosure.MapVersion {
		t.Errorf("link %v, identity %+v", s.Link.State, s.Identity)
	}
}

// An enclosure without function 23 is driven five times a second, and no worse.
func TestLoopSlowsDownForTwoRequests(t *testing.T) {
	v := newVirtual(t)
	v.line.split, v.line.took = true, 95*time.Millisecond
	v.powerOn(t)
	v.Ask(rig.SlewTo(110, 45))
	v.run(25 * time.Second)
	if s := v.Status(); s.Mode != step.Holding || s.Axes[0].Position.Deg() < 109.9 || s.Axes[0].Position.Deg() > 110.1 {
		t.Errorf("mode %v at %.2f degrees", s.Mode, s.Axes[0].Position.Deg())
	}
	before, ticks := v.now, 0
	v.run(10 * time.Second)
	for _, r := range v.line.asked() {
		if r.At >= before && r.Ask == AskMotion {
			ticks++
			if r.Demand.WatchdogMillis < 600 {
				t.Fatalf("the watchdog has %d ms, less than three ticks", r.Demand.WatchdogMillis)
			}
		}
	}
	if ticks != 50 {
		t.Errorf("%d exchanges in ten seconds, want 50", ticks)
	}
}

// Stop overtakes what waits; what was to start a motion is dropped.
func TestStopOvertakes(t *testing.T) {
	v := newVirtual(t)
	v.powerOn(t)
	v.Ask(rig.SlewTo(200, 45))
	v.run(4 * time.Second)
	for range 100 {
		v.Ask(rig.SlewTo(10, 80))
	}
	v.Ask(step.Stop{})
	v.run(v.config.Tick)
	sent := v.line.asked()
	if d := sent[len(sent)-1]; v.Status().Mode != step.LockedOut || d.Demand.Az != 0 {
		t.Errorf("mode %v, demand %+v", v.Status().Mode, d.Demand)
	}
	v.run(10 * time.Second)
	if v.Status().Mode != step.LockedOut {
		t.Errorf("mode %v after a Stop", v.Status().Mode)
	}
}

func TestEventsNeverSkip(t *testing.T) {
	v := newVirtual(t)
	seen := uint64(0)
	for range 200 {
		v.Ask(step.Release{})
		v.Ask(rig.SlewTo(10, 80)) // refused: power is off
		v.Ask(rig.SlewTo(10, 80))
		v.run(300 * time.Millisecond)
		for _, e := range v.EventsSince(seen) {
			if e.Number != seen+1 {
				t.Fatalf("event %d after %d", e.Number, seen)
			}
			seen = e.Number
		}
	}
	if seen < 400 {
		t.Errorf("%d events, want 400 and more", seen)
	}
}

// A trip's record, written and read, replays to the same trip.
func TestTripRecordReplays(t *testing.T) {
	v := newVirtual(t)
	v.powerOn(t)
	for range 5 {
		v.Ask(rig.SlewTo(130, 60))
		v.run(25 * time.Second)
		v.Ask(rig.SlewTo(100, 40))
		v.run(25 * time.Second)
	}
	v.Ask(rig.SlewTo(130, 60))
	v.run(5 * time.Second)
	v.line.box.StopOpen = true
	v.run(3 * time.Second)
	lock := v.Status().Lock
	if !lock.Locked {
		t.Fatal("no trip")
	}
	record := v.TripRecord()
	if n := len(record.Inputs); n < 600 || n > 1300 {
		t.Errorf("%d inputs, want a minute to two", n)
	}
	var file bytes.Buffer
	if err := record.Write(&file); err != nil {
		t.Fatal(err)
	}
	read, err := ReadRecord(&file)
	if err != nil {
		t.Fatal(err)
	}
	got := read.Replay()
	if got.Lock.Cause != lock.Cause || got.Lock.At != lock.At || !got.Lock.Locked {
		t.Errorf("replayed to %+v, was %+v", got.Lock, lock)
	}
	if want := record.Replay(); want.Axes[0].Motion.Body != got.Axes[0].Motion.Body {
		t.Errorf("the record changed on its way: %s", cmp.Diff(want.Axes[0].Motion.Body, got.Axes[0].Motion.Body))
	}
}

// In real time: Stop is sent at once, and the loop's end leaves zero drive and no power.
func TestRunStopsAtOnceAndEndsWithZero(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		box := usualBox()
		began := time.Now()
		line := &boxLine{box: box, took: 45 * time.Millisecond, clock: func(d step.Nanos) step.Nanos {
			time.Sleep(d)
			return time.Since(began)
		}}
		c := Default()
		c.Kept.References, c.Began = kept(box), began
		l, err := New(line, c)
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error)
		go func() { done <- l.Run(ctx) }()
		time.Sleep(time.Second)
		l.Ask(step.Power{On: true, Asked: true})
		time.Sleep(2 * time.Second)
		l.Ask(rig.SlewTo(300, 40))
		time.Sleep(5*time.Second + 70*time.Millisecond)
		asked := time.Since(began)
		l.Ask(step.Stop{})
		time.Sleep(195 * time.Millisecond)
		stopped := false
		for _, r := range line.asked() {
			stopped = stopped || r.Ask == AskMotion && r.Demand.Az == 0 && r.At >= asked
		}
		if !stopped {
			t.Errorf("no zero demand within 195 ms of Stop")
		}
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
		sent := line.asked()
		if last := sent[len(sent)-1].Demand; last.Az != 0 || last.Orders != 0 || box.Powered {
			t.Errorf("the loop left %+v, power %v", last, box.Powered)
		}
		if s := l.Status(); s.Lateness.Ticks < 50 || s.Lateness.P99 > 50 {
			t.Errorf("lateness %+v", s.Lateness)
		}
	})
}

// A line that is dead makes the loop neither late nor stuck.
func TestRunOverADeadLine(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		line := &boxLine{box: usualBox(), dead: true, clock: func(d step.Nanos) step.Nanos {
			time.Sleep(d)
			return time.Since(began)
		}}
		c := Default()
		c.Began = began
		l, err := New(line, c)
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		if err := l.Run(ctx); err != nil {
			t.Error(err)
		}
		if s := l.Status(); s.Link.State != step.LinkOpening || s.Lateness.Ticks < 45 {
			t.Errorf("link %v, %d ticks", s.Link.State, s.Lateness.Ticks)
		}
	})
}

func TestHistogram(t *testing.T) {
	var h histogram
	for i := range 1000 {
		h.add(time.Duration(i) * 10 * time.Microsecond)
	}
	v := h.view()
	if v.P50 < 4.95 || v.P50 > 5.05 || v.P99 < 9.85 || v.P99 > 9.95 || v.P999 < 9.95 || v.P999 > 10 || v.Ticks != 1000 {
		t.Errorf("%+v", v)
	}
}
