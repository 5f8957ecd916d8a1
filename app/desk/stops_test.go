package desk

import (
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// stepped is a desk and a loop over a small enclosure. Nothing runs by itself:
// the test says when the desk looks, when it hands over, and when the loop ticks.
type stepped struct {
	t      *testing.T
	box    *rig.FakeEnclosure
	loop   *drive.Loop
	desk   *Runner
	now    step.Nanos
	ran    step.Nanos
	demand enclosure.Demand // the newest
	looked *Inputs          // what the desk works on, between looking and handing over
}

func newStepped(t *testing.T, c Config) *stepped {
	t.Helper()
	w := &stepped{t: t, box: rig.NewFakeEnclosure(&c.Drive, 105.4, 40.1)}
	config := drive.Config{Step: c.Drive}
	for i := range config.Kept.References {
		config.Kept.References[i] = mount.Reference{Start: w.box.Start, Origin: mount.ByHand,
			LastCounts: w.box.Axes[i].Counts}
		config.Kept.References[i].Zero.Angle = degrees([2]float64{105.4, 40.1}[i])
		config.Kept.References[i].Zero.Counts = w.box.Axes[i].Counts
	}
	var err error
	if w.loop, err = drive.New(w, config); err != nil {
		t.Fatal(err)
	}
	clock := func() (time.Time, step.Nanos) { return began.Add(w.now), w.now }
	w.desk = NewRunner(c, w.loop, clock, RunnerConfig{})
	return w
}

// Exchange implements drive.Exchanger.
func (w *stepped) Exchange(q drive.Request) drive.Reply {
	r := drive.Reply{SentAt: q.At, ReceivedAt: q.At + 40*time.Millisecond}
	if d := (q.At + 20*time.Millisecond - w.ran).Truncate(10 * time.Millisecond); d > 0 {
		w.box.Run(d)
		w.ran += d
	}
	switch q.Ask {
	case drive.AskMotion, drive.AskSlow:
		w.demand = q.Demand
		w.box.Write(q.Demand)
		r.Motion = w.box.Look()
	case drive.AskIdentity:
		r.Identity = w.box.Identity()
	default:
		r.Readings = enclosure.NoReadings()
	}
	return r
}

// The doings, each a letter: t the loop ticks, l the desk looks and h hands over
// what came of it, o the operator's order, s a Stop.
func (w *stepped) do(what byte, o Order) {
	switch what {
	case 't':
		w.loop.Tick(w.now, began.Add(w.now))
		w.now += 100 * time.Millisecond
	case 'l':
		w.desk.next = 0
		if in, due := w.desk.collect(); due {
			w.looked = &in
		}
	case 'h':
		if w.looked != nil {
			w.desk.advance(w.looked)
			w.looked = nil
		}
	case 'o':
		w.desk.Ask(o)
	case 's':
		w.desk.Ask(Stop{})
	}
}

func (w *stepped) all(doings string, o Order) {
	for i := range doings {
		w.do(doings[i], o)
	}
}

// orderings calls with each way to interleave the sequences; what lies in one stays in order.
func orderings(sequences []string, so string, with func(string)) {
	done := true
	for i, q := range sequences {
		if q == "" {
			continue
		}
		done = false
		rest := append([]string(nil), sequences...)
		rest[i] = q[1:]
		orderings(rest, so+q[:1], with)
	}
	if done {
		with(so)
	}
}

// situation is where the desk and the dish are when the order is given.
type situation struct {
	name   string
	before func(*stepped)
	orders []Order
	// free: a Stop finds nothing that moves, so that what is ordered after it is done.
	free bool
	// off: drive power is off, and must not come on.
	off bool
}

func situations() []situation {
	powered := func(w *stepped) {
		w.all("lhtlht", nil)
		w.all("o"+strings.Repeat("lht", 20), Power{On: true})
	}
	ways := []Order{
		Track{On: true}, SlewTo{To: mount.AxisAngles{Az: degrees(150), El: degrees(50)}}, Park{},
		Nudge{By: mount.Offset{Cross: degrees(0.5)}}, Jog{Az: 1},
	}
	return []situation{
		{"holding", powered, ways, true, false},
		{"drive power off", func(w *stepped) { w.all("lhtlht", nil) },
			append(ways[:3:3], Power{On: true}), false, true},
		{
			"tracking", func(w *stepped) { powered(w); w.all("o"+strings.Repeat("lht", 25), ways[0]) },
			[]Order{OffSource{On: true}, Nudge{By: mount.Offset{Cross: degrees(0.3)}},
				Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}}, TakePeak{Sweeps: true}, ways[0]}, false,
			false,
		},
		{
			"locked out", func(w *stepped) {
				powered(w)
				w.all("o"+strings.Repeat("lht", 25)+"s"+strings.Repeat("lht", 40), ways[0])
			},
			[]Order{Release{}}, false, false,
		},
	}
}

// TestNothingStartsAfterAStop lets an order and a Stop fall anywhere between the
// desk's looking and handing over and the loop's ticks, in every ordering. What
// was ordered before the Stop never moves the dish after it; what was ordered after it is not lost.
func TestNothingStartsAfterAStop(t *testing.T) {
	c := practice(t)
	tried := 0
	for _, s := range situations() {
		for _, o := range s.orders {
			for _, asked := range [...]string{"os", "so"} {
				if asked == "so" && !s.free {
					continue
				}
				orderings([]string{strings.Repeat("lh", deskSteps), strings.Repeat("t", loopTicks), asked}, "",
					func(so string) {
						if tried++; tried%oneIn == 0 {
							tryStop(t, c, &s, o, so)
						}
					})
				if t.Failed() {
					t.Fatalf("%s, %+v: %q", s.name, o, asked)
				}
			}
		}
	}
	t.Logf("%d orderings", tried/oneIn)
}

func tryStop(t *testing.T, c Config, s *situation, o Order, so string) {
	w := newStepped(t, c)
	s.before(w)
	stopped, void := false, strings.Index(so, "o") < strings.Index(so, "s")
	moved, locked := false, false
	for i, doing := range so + strings.Repeat("lht", 15) {
		if doing == 's' {
			stopped, locked = true, w.loop.Status().Lock.Locked
		}
		w.do(byte(doing), o)
		if i == len(so)+1 && void && w.desk.state.busyAfterStop() {
			t.Errorf("%s: the desk goes on after the Stop", so)
			return
		}
		if doing != 't' || !stopped {
			continue
		}
		drives := w.demand.Az != 0 || w.demand.El != 0
		moved = moved || drives
		switch powers := w.demand.Orders.Has(enclosure.OrderPower); {
		case !void:
		case drives:
			t.Errorf("%s: drive %d, %d after the Stop, mode %v", so, w.demand.Az, w.demand.El, w.loop.Status().Mode)
			return
		case s.off && powers:
			t.Errorf("%s: drive power is asked for after the Stop", so)
			return
		}
	}
	status := w.loop.Status()
	switch {
	case void && w.desk.state.busyAfterStop():
		t.Errorf("%s: the desk has taken something up again", so)
	case void && locked && !status.Lock.Locked:
		t.Errorf("%s: released by what was asked before the Stop", so)
	case !void && s.free && !moved:
		t.Errorf("%s: what was ordered after the Stop was not done: mode %v", so, status.Mode)
	}
}

// busyAfterStop reports that the desk is after something that moves the dish.
func (s *State) busyAfterStop() bool {
	return s.Aim != noAim || s.Waiting.Has || s.Excursion != pointing.Excursion{} || len(s.Legs) > 0
}

// A Stop ends a check, a survey and an armed pass, and asks for no motion doing so.
func TestStopEndsWhatGoesByItself(t *testing.T) {
	w := newStepped(t, practice(t))
	w.all("lhtlht", nil)
	w.all("o"+strings.Repeat("lht", 20), Power{On: true})
	w.all("olht", Track{On: true})
	m := &w.desk.state.Measuring
	m.Rounds.Running = true
	w.desk.state.Armed = armedState{Has: true, Choice: w.desk.state.Choice, Rise: began.Add(time.Hour),
		Set: began.Add(9 * time.Hour)}
	checked := restingBench(t)
	checked.after(time.Second, CheckDish{})
	m.Check.Run = checked.s.Measuring.Check.Run
	m.Check.Run.Before = w.desk.config.Sun()
	w.all("s"+strings.Repeat("lht", 30), nil)
	s := &w.desk.state
	if m.Rounds.Running || s.Armed.Has || m.Check.Run != nil || s.Aim != noAim {
		t.Errorf("survey %v, armed %v, check %v, aim %d", m.Rounds.Running, s.Armed.Has, m.Check.Run, s.Aim)
	}
	if got := w.loop.Status().Mode; got != step.LockedOut {
		t.Errorf("mode %v", got)
	}
}
