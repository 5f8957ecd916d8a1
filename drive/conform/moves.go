package conform

import (
	"fmt"
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// tickEvery is how often demands are renewed.
const tickEvery = 100 * time.Millisecond

// on switches drive power on, by the rule: trips cleared before, then a change
// from 0 to 1 with zero demands in a write that clears nothing.
func (t *tester) on() (enclosure.Motion, error) {
	if _, err := t.tick(0, 0, 0, 0x1FF); err != nil {
		return enclosure.Motion{}, err
	}
	m, err := t.tick(0, 0, 0, 0)
	switch {
	case err != nil:
		return m, err
	case m.Trips != 0:
		return m, fmt.Errorf("trips %09b stand and don't clear", m.Trips)
	}
	for begun := time.Now(); time.Since(begun) < 2100*time.Millisecond; time.Sleep(tickEvery) {
		if m, err = t.tick(1, 0, 0, 0); err != nil || m.State&enclosure.StatePower != 0 {
			return m, err
		}
	}
	return m, errNoPower
}

func (t *tester) powersOn() (Outcome, string) {
	if m, err := t.tick(0, 0, 0, 0); err != nil || m.State&(enclosure.StateStopOpen|enclosure.StateHand) != 0 {
		return judge(err, "the stop circuit is open, or the hand panel has control: nothing more can be tried")
	}
	_, err := t.on()
	return judge(err, "")
}

func (t *tester) watchdog() (Outcome, string) {
	if _, err := t.on(); err != nil {
		return judge(err, "")
	}
	time.Sleep(1300 * time.Millisecond) // its period is 1000
	// Reading feeds nothing.
	r, err := t.read(0x0020, 22)
	if err != nil {
		return judge(err, "")
	}
	m, err := enclosure.DecodeMotion(r)
	switch {
	case err != nil:
	case m.Trips&enclosure.TripWatchdog == 0:
		return Broken, "no trip"
	case m.State&enclosure.StatePower != 0:
		return Broken, "power is still on"
	case m.Applied[0] != 0 || m.Applied[1] != 0:
		return Broken, "a drive is still applied"
	}
	return judge(err, "")
}

func (t *tester) noPowerBeforeClearing() (Outcome, string) {
	if _, err := t.tick(0, 0, 0, 0); err != nil {
		return judge(err, "")
	}
	for range 5 {
		m, err := t.tick(1, 0, 0, 0)
		if err != nil {
			return judge(err, "")
		}
		if m.State&enclosure.StatePower != 0 {
			_ = t.rest()
			return Broken, "it came on with a trip standing"
		}
		time.Sleep(tickEvery)
	}
	return judge(t.rest(), "")
}

func (t *tester) powersOff() (Outcome, string) {
	if _, err := t.on(); err != nil {
		return judge(err, "")
	}
	if _, err := t.tick(0, 0, 0, 0); err != nil {
		return judge(err, "")
	}
	m, err := t.tick(0, 0, 0, 0)
	if err == nil && (m.State&enclosure.StatePower != 0 || m.Trips != 0) {
		return Broken, fmt.Sprintf("power %v, trips %09b", m.State&enclosure.StatePower != 0, m.Trips)
	}
	return judge(err, "")
}

// turns drives an axis a little, one way and back.
func (t *tester) turns(axis int) (Outcome, string) {
	if !t.identity.Fitted.Has(enclosure.FittedAzimuth << axis) {
		return LeftOut, "it isn't fitted"
	}
	defer func() { _ = t.rest() }()
	const size = 2000 // a fifth of full drive
	for _, drive := range [2]int16{size, -size} {
		first, err := t.on()
		if err != nil {
			return judge(err, "")
		}
		var demand [2]int16
		demand[axis] = drive
		var m enclosure.Motion
		shown := int16(0)
		for range 6 {
			if m, err = t.tick(1, demand[0], demand[1], 0); err != nil {
				return judge(err, "")
			}
			shown = m.Applied[axis]
			time.Sleep(tickEvery)
		}
		for range 8 {
			if m, err = t.tick(1, 0, 0, 0); err != nil {
				return judge(err, "")
			}
			time.Sleep(tickEvery)
		}
		counts := m.Counts[axis] - first.Counts[axis]
		switch {
		case shown == 0 || (shown > 0) != (drive > 0):
			return Broken, fmt.Sprintf("demand %d, applied %d", drive, shown)
		case math.Abs(float64(shown)) > size:
			return Broken, fmt.Sprintf("demand %d, applied %d: more than was asked", drive, shown)
		case counts == 0:
			return Doubted, "not a count: too short a turn for this encoder, or it doesn't count"
		}
		if err := t.rest(); err != nil {
			return judge(err, "")
		}
	}
	return Kept, ""
}
