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
	box        *rig.FakeEnclosure
	over       drive.Exchanger // in place of the box: a link
	start      time.Time
	ran        time.Duration
	desks, net gate
	stopped    atomic.Bool // a Stop has been asked
	wasLocked  bool        // by then

	mu     sync.Mutex
	after  []enclosure.Demand // that a tick decided after the Stop
	cancel context.CancelFunc
	ended  sync.WaitGroup

	// A link ends after the loop.
	portContext context.Context
	endPort     context.CancelFunc
	ports       sync.WaitGroup
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
	if w.over != nil {
		return w.over.Exchange(q)
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
	box := rig.NewFakeEnclosure(&c.Drive, 105.4, 40.1)
	return start(t, c, &running{box: box}, [2]int32{box.Axes[0].Counts, box.Axes[1].Counts}, box.Start)
}

// runOver starts both over a link, to a dish that stands at those counts since an enclosure's start.
func runOver(t *testing.T, c Config, over drive.Exchanger, counts [2]int32, starts uint16) *running {
	t.Helper()
	return start(t, c, &running{over: over}, counts, starts)
}

func start(t *testing.T, c Config, w *running, stands [2]int32, starts uint16) *running {
	t.Helper()
	w.start = time.Now()
	w.desks.open, w.net.open = make(chan struct{}), make(chan struct{})
	w.portContext, w.endPort = context.WithCancel(t.Context())
	config := drive.Config{Step: c.Drive, Began: w.start}
	for i, counts := range stands {
		config.Kept.References[i] = mount.Reference{Start: starts, Origin: mount.ByHand, LastCounts: counts}
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

// free opens the gates, lets all run for a while, and ends them.
func (w *running) free() {
	w.desks.closed.Store(false)
	w.net.closed.Store(false)
	w.desks.release()
	w.net.release()
	time.Sleep(1500 * time.Millisecond)
	w.cancel()
	w.ended.Wait()
	w.endPort()
	w.ports.Wait()
}

// before are the orders that lead to each situation.
func before() map[string][]Order {
	power, track := Power{On: true}, Track{On: true}
	return map[string][]Order{
		"holding": {power}, "drive power off": nil, "tracking": {power, track},
		"locked out": {power, track, Stop{}},
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
				orderings([]string{strings.Repeat("d", deskGates), strings.Repeat("n", loopGates), asked}, "",
					func(so string) {
						if tried++; tried%oneIn == 0 {
							synctest.Test(t, func(t *testing.T) { lead(t, c, &s, o, so) })
						}
					})
				if t.Failed() {
					t.Fatalf("%s, %+v: %q", s.name, o, asked)
				}
			}
		}
	}
	t.Logf("%d orders of arrival", tried/oneIn)
}

// lead leads the goroutines through one order of arrival, lets them run, and looks what became of the order.
func lead(t *testing.T, c Config, s *situation, o Order, so string) {
	w := run(t, c)
	w.lead(t, s, o, so, nil)
	moved, powered := false, false
	for _, d := range w.after {
		moved = moved || d.Az != 0 || d.El != 0
		powered = powered || d.Orders.Has(enclosure.OrderPower)
	}
	w.judge(t, s, so, len(w.after), moved, powered)
}

// lead brings the situation about, and leads the goroutines through an order of arrival; over a line its link too.
func (w *running) lead(t *testing.T, s *situation, o Order, so string, line *wire) {
	w.bring(t, before()[s.name])
	if line != nil {
		line.closed.Store(true)
		w.net.let(t)
		line.arrive(t)
	}
	for _, doing := range so {
		switch doing {
		case 'd':
			w.desks.let(t)
		case 'n':
			w.net.let(t)
		case 'l':
			line.letIfThere()
		case 'o':
			go w.desk.Ask(o)
		case 's':
			w.wasLocked = w.Loop.Status().Lock.Locked
			w.stopped.Store(true)
			if line != nil {
				line.stop()
			}
			go w.desk.Ask(Stop{})
		}
		synctest.Wait()
	}
	if line != nil {
		line.closed.Store(false)
		line.release()
	}
	w.free()
}

// judge looks what became of the order, where after so many ticks since the Stop something moved or asked for power.
func (w *running) judge(t *testing.T, s *situation, so string, ticks int, moved, powered bool) {
	t.Helper()
	void := strings.Index(so, "o") < strings.Index(so, "s")
	switch status := w.Loop.Status(); {
	case ticks < 10:
		t.Errorf("%s: %d ticks after the Stop", so, ticks)
	case void && moved:
		t.Errorf("%s: drive after the Stop, mode %v", so, status.Mode)
	case void && s.off && powered:
		t.Errorf("%s: drive power is asked for after the Stop", so)
	case void && w.desk.state.busyAfterStop():
		t.Errorf("%s: the desk goes on after the Stop", so)
	case void && w.wasLocked && !status.Lock.Locked:
		t.Errorf("%s: released by what was asked before the Stop", so)
	case !void && s.free && !moved:
		t.Errorf("%s: what was ordered after the Stop was not done: mode %v", so, status.Mode)
	}
}

// The desk steps with each tick of the loop, so that it takes in all that the loop measured, and both wake the
// processor once.
func TestTheDeskStepsWithTheLoop(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := run(t, practice(t))
		for range 30 {
			tick := w.Loop.Status().Tick
			for w.Loop.Status().Tick == tick {
				time.Sleep(time.Millisecond)
			}
			ticked := time.Now()
			time.Sleep(5 * time.Millisecond)
			synctest.Wait()
			if at := began.Add(ticked.Sub(w.start)); w.desk.Status().At.Before(at.Add(-time.Millisecond)) {
				t.Fatalf("the loop ticked at %v, the desk stepped last at %v", at, w.desk.Status().At)
			}
		}
		w.free()
	})
}
