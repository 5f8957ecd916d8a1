package conform

import (
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// What the rules of the watchdog use: its period there, and how late it may be seen.
const (
	shortPeriod       = 600 // ms
	watchdogTolerance = 150 * time.Millisecond
)

// guarded is what the watchdog watches in this test: drive power, without a demand, or the transmit permit.
func (t *tester) guarded() enclosure.Orders {
	if t.Move {
		return enclosure.OrderPower
	}
	return enclosure.OrderPermit
}

// silence has orders in force under a watchdog period, then feeds nothing for a
// time, in which it does something every 100 ms, or nothing.
func (t *tester) silence(orders enclosure.Orders, period uint16, d time.Duration, meanwhile func()) enclosure.Motion {
	t.period = period
	t.on(orders)
	t.order(orders)
	if meanwhile == nil {
		t.sleep(d)
		return t.motion()
	}
	for began := t.Clock.Now(); t.Clock.Now()-began < d; t.sleep(tickEvery) {
		meanwhile()
	}
	return t.motion()
}

// trips is a silence that must end in trip 0.
func (t *tester) trips(orders enclosure.Orders, period uint16, meanwhile func()) enclosure.Motion {
	d := time.Duration(period)*time.Millisecond + watchdogTolerance
	m := t.silence(orders, period, d, meanwhile)
	if !m.Trips.Has(enclosure.TripWatchdog) {
		t.wrong("no trip 0 %v after the last changed sequence; the period is %d ms", d, period)
	}
	return m
}

func (t *tester) watchdog() { t.trips(t.guarded(), enclosure.WatchdogAtStart, nil) }

func (t *tester) watchdogOfPermit() { t.trips(enclosure.OrderPermit, enclosure.WatchdogAtStart, nil) }

func (t *tester) watchdogAtRest() {
	t.cleared()
	t.write(0x0014, enclosure.MinWatchdog)
	t.sleep(500 * time.Millisecond)
	if t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0, though neither drive power nor the transmit permit was given")
	}
}

func (t *tester) watchdogPeriod() {
	early := shortPeriod*time.Millisecond - watchdogTolerance
	if m := t.silence(t.guarded(), shortPeriod, early, nil); m.Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0 within %v; 0014 holds %d ms", early, shortPeriod)
	}
	if m := t.silence(t.guarded(), enclosure.MaxWatchdog, 1700*time.Millisecond,
		nil); m.Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0 within 1.7 s; 0014 holds 2000 ms")
	}
	t.trips(t.guarded(), shortPeriod, nil)
}

func (t *tester) readsFeedNothing() {
	t.trips(t.guarded(), shortPeriod, func() { t.motion() })
}

func (t *tester) otherWritesFeedNothing() {
	t.trips(t.guarded(), shortPeriod, func() { t.write(0x0014, shortPeriod) })
}

func (t *tester) sameSequenceFeedsNothing() {
	t.trips(t.guarded(), shortPeriod, func() { t.write(0x0010, t.sequence) })
}

func (t *tester) refusedFeedsNothing() {
	t.trips(t.guarded(), shortPeriod, func() {
		if _, err := t.try(t.writing(0x0010, t.next(), uint16(t.guarded()), 0, 0, 1)); err == nil {
			t.skip("a period of 1 ms is taken")
		}
	})
}

// everyFunctionFeeds keeps the watchdog fed by each function in turn.
func (t *tester) everyFunctionFeeds() {
	for _, f := range []rtu.Function{rtu.WriteOne, rtu.WriteMany, rtu.ReadWrite} {
		t.period = shortPeriod
		t.on(t.guarded())
		for range 4 {
			q := rtu.Request{Function: f, WriteAddress: 0x0010, Write: []uint16{t.next()}}
			if f == rtu.ReadWrite {
				q.ReadAddress, q.ReadCount = 0x0021, 1
			}
			t.must(q)
			t.sleep(250 * time.Millisecond)
		}
		if t.motion().Trips.Has(enclosure.TripWatchdog) {
			t.wrong("trip 0 though function %02d changed the sequence every 250 ms", f)
		}
	}
}

func (t *tester) newPeriodAtOnce() {
	t.period = enclosure.MaxWatchdog
	t.on(t.guarded())
	t.order(t.guarded())
	t.write(0x0014, shortPeriod)
	t.sleep(shortPeriod*time.Millisecond + watchdogTolerance)
	if !t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.wrong("%d ms were written over 2000, and no trip 0 came in that time", shortPeriod)
	}
}

// timeBeginsAtTheOrder gives the order in a write that doesn't touch the sequence.
func (t *tester) timeBeginsAtTheOrder() {
	orders := t.guarded()
	if t.cleared(); orders == enclosure.OrderPower {
		t.ready()
	}
	t.sleep(1500 * time.Millisecond)
	t.write(0x0011, uint16(orders))
	t.sleep(300 * time.Millisecond)
	if t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0 within 300 ms of the order")
	}
	t.sleep(1300 * time.Millisecond) // more than a period: how it is while power is coming on is another rule
	if !t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.wrong("no trip 0 a period after the order")
	}
}

// watchdogComingOn has the period end while most supplies are still coming on.
func (t *tester) watchdogComingOn() {
	t.ready()
	t.period = enclosure.MinWatchdog
	t.order(0)
	t.order(enclosure.OrderPower)
	t.sleep(enclosure.MinWatchdog*time.Millisecond + 60*time.Millisecond)
	if !t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.wrong("no trip 0 260 ms after the order; the period is 200 ms")
	}
}

// both are all orders that the watchdog watches, as far as they may be given here.
func (t *tester) both() enclosure.Orders {
	if t.Permit {
		return t.guarded() | enclosure.OrderPermit
	}
	return t.guarded()
}

func (t *tester) offAtATrip() {
	m := t.trips(t.both(), shortPeriod, nil)
	switch {
	case running(m):
		t.wrong("drive power is still on at trip 0")
	case m.More&enclosure.MorePermitted != 0:
		t.wrong("the transmit permit is still given at trip 0")
	}
}

// tripStands: latched until cleared, each by its own bit.
func (t *tester) tripStands() {
	// It may stand from a rule before.
	if !t.motion().Trips.Has(enclosure.TripWatchdog) {
		t.trips(t.guarded(), enclosure.WatchdogAtStart, nil)
	}
	for range 2 {
		if !t.order(0).Trips.Has(enclosure.TripWatchdog) {
			t.wrong("trip 0 cleared without being cleared")
		}
	}
	t.tick(0, [2]int16{}, enclosure.TripStarted)
	if !t.order(0).Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0 went when trip 3 was cleared")
	}
	t.tick(0, [2]int16{}, enclosure.TripWatchdog)
	if t.order(0).Trips.Has(enclosure.TripWatchdog) {
		t.wrong("trip 0 doesn't clear")
	}
}

// slowOrdersStay: a trip changes nothing of what was written.
func (t *tester) slowOrdersStay() {
	outputs := t.written[8]
	t.write(0x0018, outputs|1)
	defer func() { _, _ = t.request(t.writing(0x0018, outputs)) }()
	before := t.read(0x0018, 3)
	t.trips(t.guarded(), shortPeriod, nil)
	for i, v := range t.read(0x0018, 3) {
		if v != before[i] {
			t.wrong("%04X went from %d to %d at trip 0", 0x18+i, before[i], v)
		}
	}
}

// noiseSourceOffAtATrip sees it by bit 7 of 002F, which a change of an output turns to 0.
func (t *tester) noiseSourceOffAtATrip() {
	if !t.identity.Fitted.Has(enclosure.FittedDetector) {
		t.skip("no noise detector is fitted, whose bit would show it")
	}
	t.period = shortPeriod
	outputs := t.written[8]
	t.write(0x0018, outputs|1)
	defer func() { _, _ = t.request(t.writing(0x0018, outputs)) }()
	t.on(enclosure.OrderPower)
	for range 5 { // until the mean is clean again
		t.order(enclosure.OrderPower)
		t.sleep(tickEvery)
	}
	for range 20 {
		if m := t.motion(); m.Trips.Has(enclosure.TripWatchdog) {
			if m.More&enclosure.MoreClean != 0 {
				t.wrong("no output changed at trip 0")
			}
			return
		}
		t.sleep(50 * time.Millisecond)
	}
	t.skip("no trip 0")
}
