package desk

import (
	"context"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// gate is a place that a goroutine passes only when it is let through, once it is closed.
type gate struct {
	closed, parked atomic.Bool
	open           chan struct{}
}

func (g *gate) pass() {
	if g.closed.Load() {
		g.parked.Store(true)
		<-g.open
	}
}

// arrive waits until the goroutine is at the gate.
func (g *gate) arrive(t *testing.T) {
	t.Helper()
	for range 100 {
		if synctest.Wait(); g.parked.Load() {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatal("a goroutine does not come to its gate")
}

// let lets the goroutine through, as far as it comes without time passing.
func (g *gate) let(t *testing.T) {
	t.Helper()
	g.arrive(t)
	g.release()
	synctest.Wait()
}

func (g *gate) release() {
	if g.parked.CompareAndSwap(true, false) {
		g.open <- struct{}{}
	}
}

// running is a desk and a loop, each a goroutine as in the program, over a small
// enclosure. The desk has a gate before it looks and one before it hands over, the
// loop one before a request leaves and one before its reply arrives.
type running struct {
	*drive.Loop
	desk       *Runner
	box        *rig.Box
	start      time.Time
	ran        time.Duration
	desks, net gate
	stopped    atomic.Bool // a Stop has been asked

	mu     sync.Mutex
	after  []enclosure.Demand // that a tick decided after the Stop
	cancel context.CancelFunc
	ended  sync.WaitGroup
}

// Status and Hand are those of the loop, as the desk calls them.
func (w *running) Status() *step.Status {
	w.desks.pass()
	return w.Loop.Status()
}

func (w *running) Hand(o drive.Orders) {
	w.desks.pass()
	w.Loop.Hand(o)
}

// Exchange implements drive.Exchanger.
func (w *running) Exchange(q drive.Request) drive.Reply {
	motion := q.Ask == drive.AskMotion || q.Ask == drive.AskSlow
	if motion && w.stopped.Load() {
		w.mu.Lock()
		w.after = append(w.after, q.Demand)
		w.mu.Unlock()
	}
	if motion {
		w.net.pass()
	}
	r := drive.Reply{SentAt: time.Since(w.start)}
	if d := (r.SentAt - w.ran).Truncate(10 * time.Millisecond); d > 0 {
		w.box.Run(d)
		w.ran += d
	}
	switch q.Ask {
	case drive.AskMotion, drive.AskSlow:
		w.box.Write(q.Demand)
		r.Motion = w.box.Look()
		w.net.pass()
	case drive.AskIdentity:
		r.Identity = w.box.Identity()
	default:
		r.Readings = enclosure.NoReadings()
	}
	time.Sleep(10 * time.Millisecond)
	r.ReceivedAt = time.Since(w.start)
	return r
}

// run starts both.
func run(t *testing.T, c Config) *running {
	t.Helper()
	w := &running{box: rig.NewBox(&c.Drive, 105.4, 40.1), start: time.Now()}
	w.desks.open, w.net.open = make(chan struct{}), make(chan struct{})
	config := drive.Config{Step: c.Drive, Began: w.start}
	for i := range config.Kept.References {
		counts := w.box.Axes[i].Counts
		config.Kept.References[i] = mount.Reference{Start: w.box.Start, Origin: mount.ByHand, LastCounts: counts}
		config.Kept.References[i].Zero = mount.Zero{Angle: degrees([2]float64{105.4, 40.1}[i]), Counts: counts}
	}
	var err error
	if w.Loop, err = drive.New(w, config); err != nil {
		t.Fatal(err)
	}
	clock := func() (time.Time, step.Nanos) {
		now := time.Since(w.start)
		return began.Add(now), now
	}
	w.desk = NewRunner(c, w, clock, RunnerConfig{})
	var ctx context.Context
	ctx, w.cancel = context.WithCancel(t.Context())
	w.ended.Go(func() { _ = w.Loop.Run(ctx) })
	w.ended.Go(func() { w.desk.Run(ctx) })
	time.Sleep(500 * time.Millisecond)
	return w
}

// bring gives the orders that lead to a situation, with both running freely, and closes the gates.
func (w *running) bring(t *testing.T, orders []Order) {
	t.Helper()
	for _, o := range orders {
		w.desk.Ask(o)
		time.Sleep(2500 * time.Millisecond)
	}
	w.desks.closed.Store(true)
	w.net.closed.Store(true)
	w.desks.arrive(t)
	w.net.arrive(t)
}

// free opens the gates, lets both run for a while, and ends them.
func (w *running) free() {
	w.desks.closed.Store(false)
	w.net.closed.Store(false)
	w.desks.release()
	w.net.release()
	time.Sleep(1500 * time.Millisecond)
	w.cancel()
	w.ended.Wait()
}

// before are the orders that lead to each situation.
func before() map[string][]Order {
	power, track := Order{Kind: Power, On: true}, Order{Kind: Track, On: true}
	return map[string][]Order{
		"holding": {power}, "drive power off": nil, "tracking": {power, track}, "locked out": {power, track, {Kind: Stop}},
	}
}

// TestNothingStartsAfterAStopOfGoroutines: as TestNothingStartsAfterAStop, with the desk, the loop, the operator
// and the Stop as goroutines of their own, led through every order in which they come to their gates: d the desk
// goes from one to the next, n the loop, o the order and s the Stop are given.
func TestNothingStartsAfterAStopOfGoroutines(t *testing.T) {
	c := practice(t)
	tried := 0
	for _, s := range situations() {
		for _, o := range s.orders[:min(len(s.orders), goroutineOrders)] {
			for _, asked := range [...]string{"os", "so"} {
				if asked == "so" && !s.free {
					continue
				}
				orderings([]string{strings.Repeat("d", deskGates), strings.Repeat("n", loopGates), asked}, "", func(so string) {
					tried++
					synctest.Test(t, func(t *testing.T) { lead(t, c, &s, o, so) })
				})
				if t.Failed() {
					t.Fatalf("%s, %+v: %q", s.name, o, asked)
				}
			}
		}
	}
	t.Logf("%d orders of arrival", tried)
}

// lead leads the goroutines through one order of arrival, lets them run, and looks what became of the order.
func lead(t *testing.T, c Config, s *situation, o Order, so string) {
	w := run(t, c)
	w.bring(t, before()[s.name])
	void, locked := strings.Index(so, "o") < strings.Index(so, "s"), false
	for _, doing := range so {
		switch doing {
		case 'd':
			w.desks.let(t)
		case 'n':
			w.net.let(t)
		case 'o':
			go w.desk.Ask(o)
		case 's':
			locked = w.Loop.Status().Lock.Locked
			w.stopped.Store(true)
			go w.desk.Ask(Order{Kind: Stop})
		}
		synctest.Wait()
	}
	w.free()
	moved, powered := false, false
	for _, d := range w.after {
		moved = moved || d.Az != 0 || d.El != 0
		powered = powered || d.Orders.Has(enclosure.OrderPower)
	}
	switch status := w.Loop.Status(); {
	case len(w.after) < 10:
		t.Errorf("%s: %d ticks after the Stop", so, len(w.after))
	case void && moved:
		t.Errorf("%s: drive after the Stop, mode %v", so, status.Mode)
	case void && s.off && powered:
		t.Errorf("%s: drive power is asked for after the Stop", so)
	case void && w.desk.state.busyAfterStop():
		t.Errorf("%s: the desk goes on after the Stop", so)
	case void && locked && !status.Lock.Locked:
		t.Errorf("%s: released by what was asked before the Stop", so)
	case !void && s.free && !moved:
		t.Errorf("%s: what was ordered after the Stop was not done: mode %v", so, status.Mode)
	}
}
