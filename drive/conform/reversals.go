package conform

import (
	"time"

	"beamhelm/drive/enclosure"
)

// MaxDrive is the greatest drive that a test asks for, hundredths of a percent:
// a fifth of full drive; up to a third where an axis has fixed speeds.
const (
	MaxDrive      = 2000
	maxFixedDrive = 3400
)

// reversal is what was seen of an axis driven for 600 ms and left alone for 800 ms.
type reversal struct {
	demand  int16
	driven  []enclosure.Motion // from the reply to the first demand on
	after   []enclosure.Motion
	back    uint16 // what the demand's register read just after it was written
	greatly int16  // 005B or 005C just after it
}

// size is the drive of an axis in this test.
func (t *tester) size(i int) int16 {
	n := int(t.identity.FixedSpeeds[i])
	if n == 0 {
		return MaxDrive
	}
	lowest := enclosure.FullDrive / n
	if lowest > maxFixedDrive {
		t.skip("its lowest speed is more than a third of full drive")
	}
	// The highest speed that isn't above the usual drive, or the lowest one.
	return int16(max(lowest, MaxDrive*n/enclosure.FullDrive*enclosure.FullDrive/n))
}

// reversalOf drives an axis once each way, and remembers it: several rules judge the same reversal.
func (t *tester) reversalOf(i, way int) *reversal {
	if !t.identity.Fitted.Axis(i) {
		t.skip("it isn't fitted")
	}
	if t.reversals[i][way] != nil {
		return t.reversals[i][way]
	}
	r := &reversal{demand: t.size(i)}
	if way == 1 {
		r.demand = -r.demand
	}
	var demand [2]int16
	demand[i] = r.demand
	if m := t.on(power); m.State&(enclosure.EndUpper(i)|enclosure.EndLower(i)) != 0 {
		t.skip("it stands at an end switch")
	}
	began := t.Clock.Now()
	r.driven = append(r.driven, t.tick(power, demand, 0))
	r.back = t.read(uint16(0x0012+i), 1)[0]
	for t.Clock.Now()-began < 600*time.Millisecond {
		r.driven = append(r.driven, t.tick(power, demand, 0))
		t.sleep(30 * time.Millisecond)
	}
	for t.Clock.Now()-began < 1400*time.Millisecond {
		r.after = append(r.after, t.order(power))
		t.sleep(30 * time.Millisecond)
	}
	r.greatly = int16(t.read(uint16(0x005B+i), 1)[0])
	t.reversals[i][way] = r
	return r
}

// each calls a judge with both turns of every fitted axis.
func (t *tester) each(judge func(i int, r *reversal)) {
	for i := range 2 {
		for way := range 2 {
			if t.identity.Fitted.Axis(i) {
				judge(i, t.reversalOf(i, way))
			}
		}
	}
}

// turns drives an axis one way and back.
func reversals(i int) func(*tester) {
	return func(t *tester) {
		still := false
		for way := range 2 {
			r := t.reversalOf(i, way)
			last := r.driven[len(r.driven)-1]
			shown, counts := int(last.Applied[i]), r.after[len(r.after)-1].Counts[i]-r.driven[0].Counts[i]
			switch {
			case shown == 0 || (shown > 0) != (r.demand > 0):
				t.wrong("demand %d, applied %d", r.demand, shown)
			case max(shown, -shown) > int(max(r.demand, -r.demand)):
				t.wrong("demand %d, applied %d: more than was asked", r.demand, shown)
			case last.Applied[1-i] != 0:
				t.wrong("the other axis is driven too, by %d", last.Applied[1-i])
			case counts != 0 && counts&0xFFFF == 0:
				t.wrong("%d counts: the words of a count are exchanged", counts)
			case last.Trips != 0:
				t.wrong("trips %09b", last.Trips)
			}
			still = still || counts == 0
		}
		if still {
			t.unsure("not a count: too short a turn for this encoder, or it doesn't count")
		}
	}
}

// demandReadsBack: 0012 and 0013 hold what was asked, whatever is applied.
func (t *tester) demandReadsBack() {
	t.each(func(i int, r *reversal) {
		if r.back != uint16(r.demand) {
			t.wrong("%d was written to %04X, which reads %d", r.demand, 0x12+i, int16(r.back))
		}
	})
}

// ramps: never faster than the ramp that 0007 and 0008 tell, nor much slower.
func (t *tester) ramps() {
	tried := false
	t.each(func(i int, r *reversal) {
		ramp := int(t.identity.RampMillis[i])
		if ramp == 0 || t.identity.FixedSpeeds[i] != 0 {
			return
		}
		tried = true
		for _, m := range r.driven {
			passed := int(m.Millis - r.driven[0].Millis)
			shown, size := int(m.Applied[i]), int(max(r.demand, -r.demand))
			shown = max(shown, -shown)
			reaches := passed * enclosure.FullDrive / ramp
			if shown > reaches+reaches/4+300 {
				t.wrong("%d is applied %d ms after the demand; the ramp to full drive is %d ms", shown, passed, ramp)
			}
			if slowest := min(size, (passed-100)*enclosure.FullDrive/ramp*3/4); shown < slowest-300 {
				t.wrong("only %d is applied %d ms after the demand; the ramp to full drive is %d ms", shown, passed,
					ramp)
			}
		}
	})
	if !tried {
		t.skip("no axis with continuous speed has a ramp")
	}
}

// fixedSpeeds: the highest speed that isn't above the demand.
func (t *tester) fixedSpeeds() {
	tried := false
	for i, n := range t.identity.FixedSpeeds {
		if n == 0 || !t.identity.Fitted.Axis(i) {
			continue
		}
		tried = true
		speed := t.size(i)
		step := (int(speed)*int(n)+enclosure.FullDrive-1)/enclosure.FullDrive - 1
		lower := int16(step * enclosure.FullDrive / int(n))
		for _, row := range [][2]int16{{speed, speed}, {-speed, -speed}, {speed - 1, lower}, {1 - speed, -lower}} {
			if got := t.settled(i, row[0]); got != row[1] {
				t.wrong("demand %d: %d is applied, not %d", row[0], got, row[1])
			}
		}
	}
	if !tried {
		t.skip("both axes have continuous speed")
	}
}

// settled is the drive that is applied after half a second of a demand.
func (t *tester) settled(i int, demanded int16) int16 {
	t.on(power)
	var demand [2]int16
	demand[i] = demanded
	m := t.tick(power, demand, 0)
	for range 5 {
		t.sleep(tickEvery)
		m = t.tick(power, demand, 0)
	}
	t.order(power)
	return m.Applied[i]
}

func (t *tester) upward() {
	t.each(func(i int, r *reversal) {
		for k, m := range r.driven[1:] {
			// Two counts at least: the last one alone may be a jitter of the encoder.
			if went := m.Counts[i] - r.driven[k].Counts[i]; went > 1 || went < -1 {
				if m.Axis(i).Upward != (went > 0) {
					t.wrong("%04X went by %d, and bit %d of 002F reads %v", 0x22+2*i, went, i, m.Axis(i).Upward)
				}
			}
		}
	})
}

func (t *tester) sinceCountWhileTurning() {
	t.each(func(i int, r *reversal) {
		for k, m := range r.driven[1:] {
			before := r.driven[k]
			passed := m.Millis - before.Millis
			if m.Counts[i] != before.Counts[i] && uint32(m.Since[i]) > passed+5 {
				t.wrong("%04X reads %d though it counted within %d ms", 0x2C+i, m.Since[i], passed)
			}
		}
		for k, m := range r.after[1:] {
			before := r.after[k]
			if m.Counts[i] == before.Counts[i] && !grows(before.Since[i], m.Since[i], m.Millis-before.Millis) {
				t.wrong("%04X goes from %d to %d in %d ms, without a count", 0x2C+i, before.Since[i], m.Since[i],
					m.Millis-before.Millis)
			}
		}
	})
}

func (t *tester) currentSign() {
	tried := false
	t.each(func(i int, r *reversal) {
		for _, m := range r.driven[len(r.driven)-2:] {
			if m.Current[i] == enclosure.NotFitted {
				continue
			}
			tried = true
			if c := int(m.Current[i]); max(c, -c) >= 30 && (c > 0) != (r.demand > 0) {
				t.wrong("%d is applied, and %04X reads %d", m.Applied[i], 0x26+i, c)
			}
		}
	})
	if !tried {
		t.skip("no motor current is measured")
	}
}

func (t *tester) peakCurrent() {
	tried := false
	t.each(func(i int, r *reversal) {
		maximum := 0
		for _, m := range r.driven {
			if c := int(m.Current[i]); m.Current[i] != enclosure.NotFitted {
				maximum = max(maximum, c, -c)
			}
		}
		if r.greatly == enclosure.NotFitted {
			return
		}
		tried = true
		if g := int(r.greatly); max(g, -g) < maximum-2 {
			t.wrong("%04X reads %d after a mean current of %d", 0x5B+i, r.greatly, maximum)
		}
	})
	if !tried {
		t.skip("no maximum current is reported")
	}
}

func (t *tester) heldOff() {
	for i := range 2 {
		if !t.identity.Fitted.Axis(i) {
			continue
		}
		var demand [2]int16
		demand[i] = t.size(i)
		orders := power | enclosure.OrderAzOff<<i
		t.on(power)
		for range 5 {
			if m := t.tick(orders, demand, 0); m.Applied[i] != 0 {
				t.wrong("%d is applied to an axis that is held off", m.Applied[i])
			}
			t.sleep(50 * time.Millisecond)
		}
		t.order(power)
	}
}

// driving has one axis driven, and hands out which and by what.
func (t *tester) driving() (i int, demand [2]int16) {
	for !t.identity.Fitted.Axis(i) {
		i++
	}
	demand[i] = t.size(i)
	if m := t.on(power); m.State&(enclosure.EndUpper(i)|enclosure.EndLower(i)) != 0 {
		t.skip("it stands at an end switch")
	}
	for range 4 {
		t.tick(power, demand, 0)
		t.sleep(50 * time.Millisecond)
	}
	return i, demand
}

func (t *tester) nothingAppliedAfterOff() {
	i, demand := t.driving()
	if m := t.tick(0, demand, 0); m.Applied[i] != 0 {
		t.wrong("%d is still applied after the order for power was withdrawn", m.Applied[i])
	}
}

func (t *tester) nothingAppliedAtATrip() {
	t.period = enclosure.MinWatchdog
	i, _ := t.driving()
	for range 20 {
		if m := t.motion(); m.Trips.Has(enclosure.TripWatchdog) {
			if m.Applied[i] != 0 {
				t.wrong("%d is still applied at trip 0", m.Applied[i])
			}
			return
		}
		t.sleep(20 * time.Millisecond)
	}
	t.skip("no trip 0")
}
