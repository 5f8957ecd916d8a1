package conform

import (
	"time"

	"beamhelm/drive/enclosure"
)

// tinyDemand is a hundredth of full drive: hardly any motor turns by it, should
// an enclosure obey where it must not.
const tinyDemand = 100

// shown is what an order that must not be obeyed came to, 50 ms later.
func (t *tester) shown() enclosure.Motion {
	t.sleep(50 * time.Millisecond)
	return t.motion()
}

// permit is one order with the permit alone.
const permit = enclosure.OrderPermit

func (t *tester) permitted(m enclosure.Motion) bool { return m.More&enclosure.MorePermitted != 0 }

func (t *tester) permitIsGiven() {
	t.cleared()
	if !t.permitted(t.order(permit)) {
		t.wrong("bit 6 of 002F reads 0 after the order")
	}
	if t.permitted(t.order(0)) {
		t.wrong("bit 6 of 002F reads 1 after the order was withdrawn")
	}
}

func (t *tester) permitChangesTheMean() {
	if !t.identity.Fitted.Has(enclosure.FittedDetector) {
		t.skip("no noise detector is fitted")
	}
	t.cleared()
	t.sleep(400 * time.Millisecond)
	for _, o := range []enclosure.Orders{permit, 0} {
		if m := t.order(o); m.More&enclosure.MoreClean != 0 {
			t.wrong("bit 7 of 002F reads 1 as the permit changes")
		}
		for range 4 {
			t.sleep(tickEvery)
			t.order(o)
		}
	}
}

// tripped leaves trip 0 standing, with the order that led to it still written.
func (t *tester) tripped(orders enclosure.Orders) {
	after := t.silence(orders, enclosure.WatchdogAtStart, time.Second+watchdogTolerance, nil)
	if !after.Trips.Has(enclosure.TripWatchdog) {
		t.skip("no trip 0")
	}
}

func (t *tester) noPermitWithATrip() {
	t.tripped(permit)
	t.order(0)
	t.order(permit)
	if t.permitted(t.shown()) {
		t.wrong("it is given with trip 0 standing")
	}
}

func (t *tester) noPermitWhileClearing() {
	t.cleared()
	t.tick(permit, [2]int16{}, enclosure.AllTrips)
	if t.permitted(t.shown()) {
		t.wrong("it is given in a write that clears")
	}
}

func (t *tester) permitByChange() {
	t.tripped(permit)
	t.tick(permit, [2]int16{}, enclosure.AllTrips)
	t.order(permit)
	if t.permitted(t.shown()) {
		t.wrong("it is given again without the order having been withdrawn")
	}
}

// power is one order with drive power alone.
const power = enclosure.OrderPower

// demandWithoutPower: nothing is applied, and nothing else is shown.
func (t *tester) demandWithoutPower() {
	t.ready()
	var demand [2]int16
	for i := range demand {
		if t.identity.Fitted.Axis(i) {
			demand[i] = 5 * tinyDemand
		}
	}
	for range 4 {
		if m := t.tick(0, demand, 0); m.Applied != [2]int16{} {
			t.wrong("without drive power %d is shown as applied, %d was asked", m.Applied, demand)
		}
		t.sleep(tickEvery)
	}
}

func (t *tester) powerComesOn() {
	t.ready()
	for began := t.Clock.Now(); t.order(power).State&enclosure.StatePower == 0; t.sleep(tickEvery) {
		if t.Clock.Now()-began > powerWait {
			t.wrong("bit 0 of 0020 reads 0, 2 s after the order")
		}
	}
}

func (t *tester) powerGoesOff() {
	t.on(power)
	t.order(0)
	if m := t.order(0); running(m) || m.Trips != 0 {
		t.wrong("power on %v, trips %09b", running(m), m.Trips)
	}
}

// comingOnIsShown: from the order until bit 0 of 0020, and no longer.
func (t *tester) comingOnIsShown() {
	t.ready()
	m := t.order(power)
	for began := t.Clock.Now(); t.Clock.Now()-began < powerWait; m = t.order(power) {
		on, coming := m.State&enclosure.StatePower != 0, m.More&enclosure.MoreComingOn != 0
		if on == coming {
			t.wrong("power on %v, coming on %v", on, coming)
		}
		if on {
			return
		}
		t.sleep(50 * time.Millisecond)
	}
}

// noDemandWhileComingOn asks for a twentieth of full drive as long as power is coming on.
func (t *tester) noDemandWhileComingOn() {
	t.ready()
	var demand [2]int16
	for i := range demand {
		if t.identity.Fitted.Axis(i) {
			demand[i] = 5 * tinyDemand
		}
	}
	m, seen := t.order(power), false
	for began := t.Clock.Now(); m.State&enclosure.StatePower == 0 &&
		t.Clock.Now()-began < powerWait; m = t.tick(power, demand, 0) {
		if m.Applied != [2]int16{} {
			t.wrong("%d is applied while power is coming on", m.Applied)
		}
		seen = seen || t.Clock.Now()-began >= 100*time.Millisecond
		t.sleep(50 * time.Millisecond)
	}
	t.powered(t.order(power), power)
	if !seen {
		t.skip("power came on too soon to see")
	}
}

func (t *tester) comingOnIsCalledOff() {
	t.ready()
	if m := t.order(power); m.State&enclosure.StatePower != 0 {
		t.skip("power came on too soon to see")
	}
	for range 22 {
		if m := t.order(0); running(m) {
			t.wrong("power is on or coming on after the order was withdrawn")
		}
		t.sleep(tickEvery)
	}
}

func (t *tester) noPowerWithATrip() {
	t.tripped(power)
	t.order(0)
	t.order(power)
	if running(t.shown()) {
		t.wrong("it comes on with trip 0 standing")
	}
}

func (t *tester) noPowerWhileClearing() {
	t.ready()
	t.tick(power, [2]int16{}, enclosure.AllTrips)
	if running(t.shown()) {
		t.wrong("it comes on in a write that clears")
	}
}

func (t *tester) noPowerWithADemand() {
	for i := range 2 {
		if !t.identity.Fitted.Axis(i) {
			continue
		}
		t.ready()
		var demand [2]int16
		demand[i] = tinyDemand
		t.tick(0, demand, 0)
		t.tick(power, demand, 0)
		if running(t.shown()) {
			t.wrong("it comes on while %04X holds %d", 0x12+i, tinyDemand)
		}
	}
}

func (t *tester) powerByChange() {
	t.tripped(power)
	t.tick(power, [2]int16{}, enclosure.AllTrips)
	t.order(power)
	if running(t.shown()) {
		t.wrong("it comes on again without the order having been withdrawn")
	}
}
