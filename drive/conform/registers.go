package conform

import (
	"slices"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

func (t *tester) version() {
	if v := t.identity.MapVersion; v != enclosure.MapVersion {
		t.wrong("it is %d", v)
	}
}

func (t *tester) anAxis() {
	if !t.identity.Fitted.Axis(0) && !t.identity.Fitted.Axis(1) {
		t.wrong("none is")
	}
}

func (t *tester) uptime() {
	r := t.read(0x0000, 0x2C)
	seconds, millis := uint32(r[2])<<16|uint32(r[3]), uint32(r[0x2A])<<16|uint32(r[0x2B])
	if apart := int32(millis - seconds*1000); apart < -1000 || apart > 2000 {
		t.wrong("0002 says %d s, 002A %d ms", seconds, millis)
	}
}

func (t *tester) startCounter() {
	r := t.read(0x0004, 0x2F)
	if r[0x2E] != r[0] {
		t.wrong("%d, and %d in 0004", r[0x2E], r[0])
	}
}

func (t *tester) countsPerTurn() {
	for i, counts := range t.identity.CountsPerTurn {
		if absolute := t.identity.Absolute(i); absolute != (counts != 0) {
			t.wrong("axis %d: absolute %v, %d counts per turn", i, absolute, counts)
		}
	}
}

func (t *tester) identityEnds() {
	if r := t.read(0x000D, 3); r[0] != 0 || r[1] != 0 || r[2] < 0x005F {
		t.wrong("%04X %04X %04X", r[0], r[1], r[2])
	}
}

// afterAStart is tried where nothing has been written since the start.
func (t *tester) afterAStart() {
	m := t.decoded(t.moved[:])
	if t.written[0] != 0 || m.Sequence != 0 {
		t.skip("it has been written to since it started: restart it to test this")
	}
	want := [enclosure.WrittenCount]uint16{4: enclosure.WatchdogAtStart}
	switch {
	case t.written != want:
		t.wrong("0010 to 001F read %d", t.written)
	case m.Trips&enclosure.TripStarted == 0:
		t.wrong("trip 3 does not stand")
	}
}

func (t *tester) unknownOrders() {
	for bit := range 16 {
		if enclosure.AllOrders.Has(1 << bit) {
			continue
		}
		t.refuses(rtu.IllegalDataValue, "a one in an order bit without a meaning", t.writing(0x0011, 1<<bit))
	}
}

// demandRange tries the range of an axis's demand, with both axes held off: an
// enclosure that takes it must not drive by it.
func demandRange(i int) func(*tester) {
	return func(t *tester) {
		for _, beyond := range []int16{10001, -10001, -32768} {
			t.order(enclosure.OrderAzOff | enclosure.OrderElOff)
			t.refuses(rtu.IllegalDataValue, "a demand beyond 10000", t.writing(uint16(0x0012+i), uint16(beyond)))
		}
	}
}

func (t *tester) periodRange() {
	for _, ms := range []uint16{199, 0, 2001, 65535} {
		t.refuses(rtu.IllegalDataValue, "a watchdog period out of range", t.writing(0x0014, ms))
	}
	for _, ms := range []uint16{200, 2000} {
		t.write(0x0014, ms)
	}
}

func (t *tester) onlyZero() {
	for _, address := range []uint16{0x0016, 0x0017, 0x001B, 0x001C, 0x001D, 0x001E, 0x001F} {
		t.refuses(rtu.IllegalDataValue, "a one in a register that only takes 0", t.writing(address, 1))
		t.write(address, 0)
	}
}

// upTo tries the greatest value of a register.
func upTo(address, maximum uint16) func(*tester) {
	return func(t *tester) {
		for _, beyond := range []uint16{maximum + 1, 1 << 15} {
			t.refuses(rtu.IllegalDataValue, "a value out of range", t.writing(address, beyond))
		}
	}
}

func (t *tester) clearReadsZero() {
	for _, v := range []uint16{1 << 3, 0xFE00} {
		t.write(0x0015, v)
		if got := t.read(0x0015, 1)[0]; got != 0 {
			t.wrong("%04X was written, %04X is read", v, got)
		}
	}
}

// parts: the block may be written in parts, which leave the rest alone, or as a whole.
func (t *tester) parts() {
	held := enclosure.OrderAzOff | enclosure.OrderElOff
	t.order(held)
	before := t.read(0x0010, 16)
	t.write(0x0014, 900)
	want := slices.Clone(before)
	want[4] = 900
	if got := t.read(0x0010, 16); !slices.Equal(got, want) {
		t.wrong("0014 was written alone: %d before, %d after", before, got)
	}
	want[0], want[1], want[4] = t.next(), uint16(held), 1000
	t.write(0x0010, want...)
	if got := t.read(0x0010, 16); !slices.Equal(got, want) {
		t.wrong("wrote %d to all sixteen, reads %d", want, got)
	}
}

func (t *tester) readsBack() {
	want := []uint16{t.next(), uint16(enclosure.OrderAzOff | enclosure.OrderElOff), 0, 0, 900, 0}
	t.write(0x0010, want...)
	if got := t.read(0x0010, 6); !slices.Equal(got, want) {
		t.wrong("wrote %d, reads %d", want, got)
	}
}

func (t *tester) sequenceCopies() {
	want := t.next()
	t.write(0x0010, want)
	for _, address := range []uint16{0x0021, 0x003F, 0x0058} {
		if got := t.read(address, 1)[0]; got != want {
			t.wrong("%d was written to 0010, %04X reads %d", want, address, got)
		}
	}
}

// absentAxis calls what tries an axis that isn't fitted.
func absentAxis(try func(t *tester, i int)) func(*tester) {
	return func(t *tester) {
		absent := 0
		for i := range 2 {
			if !t.identity.Fitted.Axis(i) {
				absent++
				try(t, i)
			}
		}
		if absent == 0 {
			t.skip("both axes are fitted")
		}
	}
}

func (t *tester) absentDemand(i int) {
	t.refuses(rtu.IllegalDataValue, "a demand for it", t.writing(uint16(0x0012+i), 1))
}

func (t *tester) absentState(i int) {
	m := t.motion()
	if a := m.Axis(i); a != (enclosure.AxisMotion{Current: enclosure.NotFitted}) {
		t.wrong("%+v", a)
	}
	latches := t.read(enclosure.AddressLatches, 6)[3*i:]
	if latches[0]|latches[1]|latches[2] != 0 {
		t.wrong("its mark reads %d", latches[:3])
	}
}

func (t *tester) idleStateBits() {
	if s := t.motion().State; s&(1<<1|1<<14|1<<15) != 0 {
		t.wrong("0020 reads %04X", s)
	}
}

// timeGoesOn allows for when in their exchanges the two snapshots may have been taken.
func (t *tester) timeGoesOn() {
	at := func() (before, after time.Duration, millis uint32) {
		before = t.Clock.Now()
		m := t.motion()
		return before, t.Clock.Now(), m.Millis
	}
	before, after, first := at()
	t.sleep(time.Second)
	beforeSecond, afterSecond, second := at()
	minimum, maximum := beforeSecond-after, afterSecond-before
	went := time.Duration(second-first) * time.Millisecond
	if went < minimum*97/100-5*time.Millisecond || went > maximum*103/100+5*time.Millisecond {
		t.wrong("%v went by there in %v to %v here",
			went, minimum.Round(time.Millisecond), maximum.Round(time.Millisecond))
	}
}

// grows says whether a time since something did as it should between two
// snapshots in which that didn't happen.
func grows(first, second uint16, millis uint32) bool {
	want := min(int64(first)+int64(millis), enclosure.SinceUnknown)
	return int64(second) >= want-5 && int64(second) <= want+5
}

func (t *tester) sinceCount() {
	first := t.motion()
	t.sleep(300 * time.Millisecond)
	second := t.motion()
	for i := range 2 {
		if !t.identity.Fitted.Axis(i) {
			continue
		}
		if first.Counts[i] != second.Counts[i] {
			t.skip("an axis moves")
		}
		if !grows(first.Since[i], second.Since[i], second.Millis-first.Millis) {
			t.wrong("%04X goes from %d to %d in %d ms, without a count", 0x2C+i, first.Since[i], second.Since[i],
				second.Millis-first.Millis)
		}
	}
}

func (t *tester) sinceKeyed() {
	first := t.motion()
	t.sleep(300 * time.Millisecond)
	second := t.motion()
	switch keyed := first.State & second.State & enclosure.StateKeyed; {
	case keyed != 0 && (first.SinceKeyed != 0 || second.SinceKeyed != 0):
		t.wrong("%d while the transmitter is keyed", second.SinceKeyed)
	case (first.State|second.State)&enclosure.StateKeyed != 0:
	case !grows(first.SinceKeyed, second.SinceKeyed, second.Millis-first.Millis):
		t.wrong("it goes from %d to %d in %d ms, without keying", first.SinceKeyed, second.SinceKeyed,
			second.Millis-first.Millis)
	}
}

func (t *tester) nothingFitted() {
	r := t.read(0x0030, 0x30)
	f := t.identity.Fitted
	rows := []struct {
		fitted  enclosure.Fitted
		address uint16
		want    uint16
	}{
		{enclosure.FittedDetector, 0x0030, 0x8000}, {enclosure.FittedDetector, 0x0031, 0},
		{enclosure.FittedBandSwitch, 0x003D, 0x8000},
		{enclosure.FittedFeedTurner, 0x003E, 0x8000}, {enclosure.FittedWind, 0x004C, 0x8000},
		{enclosure.FittedWind, 0x004D, 0x8000},
		{enclosure.FittedWind, 0x0059, 0x8000},
	}
	tried := false
	for _, row := range rows {
		if f.Has(row.fitted) {
			continue
		}
		tried = true
		if got := r[row.address-0x0030]; got != row.want {
			t.wrong("%04X reads %04X", row.address, got)
		}
	}
	if !tried {
		t.skip("all of them are fitted")
	}
}

func (t *tester) gusts() {
	r := t.read(0x004C, 2)
	if r[0] == 0x8000 || r[1] == 0x8000 {
		t.skip("no wind sensor")
	}
	if int16(r[1]) < int16(r[0]) {
		t.wrong("the maximum of 10 s is %d, the mean of 1 s %d", int16(r[1]), int16(r[0]))
	}
}

func (t *tester) unusedReadings() {
	if r := t.read(0x005D, 3); r[0] != 0x8000 || r[1] != 0x8000 || r[2] != 0x8000 {
		t.wrong("%04X", r)
	}
}

func (t *tester) atRest() {
	m := t.order(0)
	switch {
	case running(m):
		t.wrong("drive power is on")
	case m.State&enclosure.StateHand != 0:
		t.skip("the hand panel has control")
	case m.Applied != [2]int16{}:
		t.wrong("a drive of %d is applied", m.Applied)
	case m.More&enclosure.MorePermitted != 0:
		t.wrong("the transmit permit is given")
	}
}

func (t *tester) clears() {
	t.tick(0, [2]int16{}, enclosure.TripStarted)
	if m := t.order(0); m.Trips.Has(enclosure.TripStarted) {
		t.wrong("it still stands")
	}
}

// cleanMean turns the noise source over, and looks how long bit 7 of 002F tells of it.
func (t *tester) cleanMean() {
	if !t.identity.Fitted.Has(enclosure.FittedDetector) {
		t.skip("no noise detector is fitted")
	}
	outputs := t.written[8]
	t.sleep(400 * time.Millisecond)
	before := t.motion()
	if before.State&enclosure.StateKeyed != 0 {
		t.skip("the transmitter is keyed")
	}
	if before.More&enclosure.MoreClean == 0 {
		t.wrong("bit 7 of 002F reads 0 though nothing has changed for 400 ms")
	}
	t.write(0x0018, outputs^1)
	defer func() { _, _ = t.request(t.writing(0x0018, outputs)) }()
	first := t.motion()
	for m := first; m.Millis-first.Millis < 230; m = t.motion() {
		if m.More&enclosure.MoreClean != 0 {
			t.wrong("bit 7 of 002F reads 1 within 300 ms of a change of the outputs")
		}
		t.sleep(20 * time.Millisecond)
	}
	t.sleep(150 * time.Millisecond)
	if t.motion().More&enclosure.MoreClean == 0 {
		t.wrong("bit 7 of 002F still reads 0 more than 350 ms after a change of the outputs")
	}
}

// noiseSourceEnds sees the noise source go off by what a change of an output does to bit 7 of 002F.
func (t *tester) noiseSourceEnds() {
	if !t.identity.Fitted.Has(enclosure.FittedDetector) {
		t.skip("no noise detector is fitted, whose bit would show it")
	}
	outputs := t.written[8]
	t.write(0x0018, outputs&^1)
	t.write(0x0010, t.next())
	began := t.Clock.Now()
	t.write(0x0018, outputs|1)
	defer func() { _, _ = t.request(t.writing(0x0018, outputs)) }()
	t.sleep(600 * time.Millisecond)
	for t.Clock.Now()-began < 5700*time.Millisecond {
		off := t.motion().More&enclosure.MoreClean == 0
		switch passed := t.Clock.Now() - began; {
		case off && passed < 4800*time.Millisecond:
			t.wrong("an output changed after %v", passed.Round(10*time.Millisecond))
		case off:
			if t.read(0x0018, 1)[0] != outputs|1 {
				t.wrong("0018 doesn't read back as written")
			}
			return
		}
		t.sleep(100 * time.Millisecond)
	}
	t.wrong("bit 7 of 002F does not show it within 5.7 s")
}
