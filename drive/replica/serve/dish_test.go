package serve

import (
	"math"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/plant"
)

// testDish is a dish that does what a test says: its axes move by 500 counts a
// second at full drive, its supply comes up after 300 ms.
type testDish struct {
	out    plant.Output
	in     plant.Input
	places [2]float64 // counts
	stuck  [2]bool    // no counts come
	silent [2]time.Duration
	up     time.Duration
	noPow  bool
}

func newTestDish() *testDish {
	d := &testDish{}
	d.out.SupplyBack, d.out.Band, d.out.DetectorUV = true, 2, 500
	for i := range d.out.Readings {
		d.out.Readings[i] = 10
	}
	for i := range d.out.Axes {
		d.silent[i] = -1
		d.out.Axes[i].SinceCount = -1
	}
	return d
}

func (d *testDish) Step(in plant.Input) plant.Output {
	d.in = in
	if in.Contactor && !d.noPow {
		d.up += in.Elapsed
	} else {
		d.up = 0
	}
	d.out.Powered = d.up >= 300*time.Millisecond
	d.out.SupplyBack = !d.noPow
	d.out.FeedTurnDegrees = in.FeedTurnDegrees
	for i := range d.out.Axes {
		a := &d.out.Axes[i]
		if !d.stuck[i] {
			d.places[i] += 500 * in.Applied[i] * in.Elapsed.Seconds()
		}
		n := int32(math.Floor(d.places[i]))
		if d.silent[i] >= 0 {
			d.silent[i] += in.Elapsed
		}
		if n != a.Counts {
			a.Upward, d.silent[i] = n > a.Counts, 0
			a.Counts = n
		}
		a.SinceCount = d.silent[i]
		a.CurrentA = 3 * in.Applied[i]
	}
	return d.out
}

// desk is an enclosure with what a test writes to it.
type desk struct {
	*testing.T
	e    *Enclosure
	d    *testDish
	next uint16
	at   time.Duration
}

func newDesk(t *testing.T, change func(*Config)) *desk {
	t.Helper()
	c := Default()
	if change != nil {
		change(&c)
	}
	dish := newTestDish()
	e, err := New(dish, c)
	if err != nil {
		t.Fatal(err)
	}
	return &desk{T: t, e: e, d: dish}
}

// write writes the demand with the next sequence.
func (k *desk) write(o enclosure.Orders, az, el int16, clear enclosure.Trips) {
	k.Helper()
	k.next++
	var r [enclosure.DemandCount]uint16
	enclosure.Demand{Sequence: k.next, Orders: o, Az: az, El: el, WatchdogMillis: 1000, Clear: clear}.Encode(&r)
	if err := k.e.Write(enclosure.AddressDemand, r[:]); err != nil {
		k.Fatalf("writing %v %d %d %v: %v", o, az, el, clear, err)
	}
}

// run lets time pass with the orders written ten times a second.
func (k *desk) run(d time.Duration, o enclosure.Orders, az, el int16) {
	k.Helper()
	for ; d > 0; d -= 100 * time.Millisecond {
		k.write(o, az, el, 0)
		k.wait(min(d, 100*time.Millisecond))
	}
}

// wait lets time pass without a word from the panel.
func (k *desk) wait(d time.Duration) {
	k.at += d
	k.e.Run(k.at)
}

// powered clears the start's trip and turns the power on.
func (k *desk) powered() {
	k.Helper()
	k.write(0, 0, 0, enclosure.AllTrips)
	k.run(500*time.Millisecond, enclosure.OrderPower, 0, 0)
	if m := k.e.Motion(); m.State&enclosure.StatePower == 0 || m.Trips != 0 {
		k.Fatalf("power did not come on: %+v", m)
	}
}

func (k *desk) want(what string, got, want any) {
	k.Helper()
	if got != want {
		k.Errorf("%s is %v, want %v", what, got, want)
	}
}
