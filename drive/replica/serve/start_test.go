package serve

import (
	"math"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
)

// startValues are the registers of section 4 that the page of registers gives a value after a start.
var startValues = map[int]uint16{
	0x21: 0, 0x2C: 65535, 0x2D: 65535, 0x33: 0, 0x34: 0, 0x35: 65535,
	0x36: 0, 0x37: 0, 0x38: 0, 0x39: 0, 0x3A: 0, 0x3B: 0, 0x3C: 0, 0x3F: 0,
}

// TestStartValues: what the page says of the registers after a start holds at the first start and
// after one in the middle of motion, keying and marks. On standing time and counters it says the same.
func TestStartValues(t *testing.T) {
	k := newDesk(t, func(c *Config) { c.Fitted |= enclosure.FittedMarkLatch })
	look := func(when string) {
		t.Helper()
		all := k.e.registers(0)
		for address, want := range startValues {
			if all[address] != want {
				t.Errorf("%s: %04X reads %d, want %d", when, address, all[address], want)
			}
		}
		if all[0x2F]&0xC != 0 {
			t.Errorf("%s: 002F reads %04X: counts unreliable", when, all[0x2F])
		}
		if all[0x14] != 1000 {
			t.Errorf("%s: 0014 reads %d", when, all[0x14])
		}
	}
	look("the first start")

	k.powered()
	k.d.out.Keyed = true
	for i := range k.d.out.Axes {
		a := &k.d.out.Axes[i]
		a.Counts, a.SinceCount, a.Impossible, a.OnMark = 500, 0, 7, true
	}
	k.run(300*ms, enclosure.OrderPower, 1000, -1000)
	k.want("since keyed", k.e.Motion().SinceKeyed, uint16(0))
	k.want("impossible transitions", k.e.Motion().Impossible, [2]uint16{7, 7})
	k.d.out.Keyed = false
	k.e.Restart()
	look("a start in the middle of motion")
}

// TestWraps: the time since a start goes on from 0 after 2^32 ms, the counters of 16 bits after 65535,
// and the times of 16 bits stay there.
func TestWraps(t *testing.T) {
	k := newDesk(t, nil)
	k.d.out.Keyed = true
	for i := range k.d.out.Axes {
		k.d.out.Axes[i].SinceCount = 0
	}
	k.wait(20 * ms)
	k.d.out.Keyed = false
	k.wait(20 * ms)
	for _, c := range []struct {
		since time.Duration
		want  uint16
	}{{65000 * ms, 65000}, {65534 * ms, 65534}, {65535 * ms, 65535}, {65536 * ms, 65535}, {time.Hour, 65535}} {
		if got := k.e.millisSince(k.e.now - c.since); got != c.want {
			t.Errorf("%v ago reads %d, want %d", c.since, got, c.want)
		}
	}
	before := k.e.Motion().Millis
	k.e.started -= (math.MaxUint32 + 1) * ms
	k.want("002A after 2^32 ms", k.e.Motion().Millis, before)
	k.e.started++ // a nanosecond less
	k.want("002A just before", k.e.Motion().Millis, before-1)

	for i := range k.d.out.Axes {
		k.d.out.Axes[i].Impossible = k.e.axes[i].impossible + 65535
	}
	k.wait(20 * ms)
	k.want("0033, 0034", k.e.Motion().Impossible, [2]uint16{65535, 65535})
	for i := range k.d.out.Axes {
		k.d.out.Axes[i].Impossible++
	}
	k.wait(20 * ms)
	k.want("0033, 0034 one later", k.e.Motion().Impossible, [2]uint16{0, 0})
}
