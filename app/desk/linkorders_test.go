package desk

import (
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive/badcable"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/link"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
	"beamhelm/drive/step"
)

// coarse is a dish without inertia: it goes as its drives do, and nothing of it ever fails.
type coarse struct {
	axes  [2]step.AxisConfig
	angle [2]float64 // degrees
	last  [2]int32
	since [2]time.Duration
}

func (d *coarse) counts(i int) int32 {
	return int32(math.Floor(d.angle[i] / d.axes[i].Scale.Step.Deg()))
}

// Step implements serve.Dish.
func (d *coarse) Step(in plant.Input) plant.Output {
	out := plant.Output{SupplyBack: true, Powered: in.Contactor, DetectorUV: math.NaN(), Band: in.Band}
	for i := range out.Readings {
		out.Readings[i] = math.NaN()
	}
	for i := range d.axes {
		d.angle[i] += in.Applied[i] * d.axes[i].Drive.TopSpeed.Deg() * in.Elapsed.Seconds()
		d.since[i] += in.Elapsed
		o := &out.Axes[i]
		if o.Counts = d.counts(i); o.Counts != d.last[i] {
			d.last[i], d.since[i] = o.Counts, 0
		}
		o.Upward, o.SinceCount = in.Applied[i] > 0, d.since[i]
		if in.Applied[i] != 0 {
			o.CurrentA = math.Copysign(1+2*math.Abs(in.Applied[i]), in.Applied[i])
		}
	}
	return out
}

// wire is the serial line of a running program: it takes its time in the program's own,
// and has a gate before a tick's request leaves and one before its reply is read.
type wire struct {
	gate
	now func() time.Duration

	mu      sync.Mutex
	line    *badcable.Line
	open    bool
	asked   bool // a request's reply has not been read yet
	stopped bool
	after   []enclosure.Demand // whose requests left after the Stop
}

func newWire(t *testing.T, dish serve.Dish, start time.Time) *wire {
	t.Helper()
	e, err := serve.New(dish, serve.Default())
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{now: func() time.Duration { return time.Since(start) }}
	w.gate.open = make(chan struct{})
	if w.line, err = badcable.NewLine(serve.NewSlave(e), badcable.Default()); err != nil {
		t.Fatal(err)
	}
	return w
}

// take opens it. As with a real port, one that is still in use stays closed to others.
func (w *wire) take() (rtu.Line, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.open {
		return nil, errors.New("in use")
	}
	w.open = true
	return w, nil
}

func (w *wire) Close() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.open = false
	return nil
}

func (w *wire) SetReadTimeout(d time.Duration) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.line.SetReadTimeout(d)
}

// demanded is the demand of a tick's request: function 23 that writes from 0010 on, orders and demands among it.
func demanded(p []byte) (d enclosure.Demand, ok bool) {
	if len(p) < 19 || p[1] != 23 || binary.BigEndian.Uint16(p[6:]) != 0x10 || p[9] < 4 {
		return d, false
	}
	d.Orders = enclosure.Orders(binary.BigEndian.Uint16(p[13:]))
	d.Az, d.El = int16(binary.BigEndian.Uint16(p[15:])), int16(binary.BigEndian.Uint16(p[17:]))
	return d, true
}

func (w *wire) Write(p []byte) (int, error) {
	d, tick := demanded(p)
	if tick {
		w.pass()
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.asked = tick; tick && w.stopped {
		w.after = append(w.after, d)
	}
	w.line.RunTo(w.now())
	return w.line.Write(p)
}

func (w *wire) Read(p []byte) (int, error) {
	w.mu.Lock()
	first := w.asked
	w.asked = false
	w.mu.Unlock()
	if first {
		w.pass()
	}
	w.mu.Lock()
	w.line.RunTo(w.now())
	n, err := w.line.Read(p)
	wait := w.line.Now() - w.now()
	w.mu.Unlock()
	time.Sleep(wait)
	return n, err
}

// letIfThere lets the link through where it is at its gate: without a request under way it is at none.
func (w *wire) letIfThere() {
	synctest.Wait()
	w.release()
	synctest.Wait()
}

func (w *wire) stop() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.stopped = true
}

// decidedBefore is how many requests of before a Stop may leave after it: one that the link has not sent yet, and one
// of the tick that waits for the answer to it.
const decidedBefore = 2

// TestNothingStartsAfterAStopOnTheWire: as TestNothingStartsAfterAStopOfGoroutines, with the link's goroutine between
// the loop and a serial line, led too: l it goes from one of its gates to the next, before a request leaves and before
// its reply is read. A request is unsent when it begins. What a tick decided before the Stop may still leave; from the
// first request of after it on nothing is demanded, however late the link is.
func TestNothingStartsAfterAStopOnTheWire(t *testing.T) {
	c := practice(t)
	tried := 0
	for _, s := range situations() {
		for _, asked := range [...]string{"os", "so"} {
			if asked == "so" && !s.free {
				continue
			}
			all := []string{strings.Repeat("d", deskGates-2), strings.Repeat("n", loopGates/2),
				strings.Repeat("l", linkGates),
				asked}
			orderings(all, "", func(so string) {
				if tried++; tried%oneIn == 0 {
					synctest.Test(t, func(t *testing.T) { leadWire(t, c, &s, s.orders[0], so) })
				}
			})
			if t.Failed() {
				t.Fatalf("%s, %+v: %q", s.name, s.orders[0], asked)
			}
		}
	}
	t.Logf("%d orders of arrival", tried/oneIn)
}

// leadWire leads the goroutines through one order of arrival, and looks what left over the line after the Stop.
func leadWire(t *testing.T, c Config, s *situation, o Order, so string) {
	start := time.Now()
	dish := &coarse{axes: c.Drive.Axes, angle: [2]float64{105.4, 40.1}}
	line := newWire(t, dish, start)
	port, err := link.NewPort(line.take, start, link.Default())
	if err != nil {
		t.Fatal(err)
	}
	w := runOver(t, c, port, [2]int32{dish.counts(0), dish.counts(1)}, 1)
	w.ports.Go(func() { _ = port.Run(w.portContext) })
	time.Sleep(time.Second)
	w.lead(t, s, o, so, line)
	void := strings.Index(so, "o") < strings.Index(so, "s")
	moved, powered, zero := 0, 0, false
	for _, d := range line.after {
		drives := d.Az != 0 || d.El != 0
		if drives {
			moved++
		}
		if d.Orders.Has(enclosure.OrderPower) {
			powered++
		}
		if void && drives && zero {
			t.Errorf("%s: drive after none", so)
		}
		zero = zero || !drives
	}
	if void {
		moved, powered = moved-decidedBefore, powered-decidedBefore
	}
	w.judge(t, s, so, len(line.after), moved > 0, powered > 0)
}
