package conform

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// tester is a test under way. Its methods end the rule that calls them where
// an exchange fails; only those that return an error leave that to the caller.
type tester struct {
	Config
	ctx      context.Context
	line     rtu.Line
	master   *rtu.Master
	by       rtu.Function // by which is written: 23, or 16 where 23 doesn't work
	sequence uint16
	period   uint16 // for 0014, ms
	identity enclosure.Identity
	written  [enclosure.WrittenCount]uint16 // 0010 to 001F as found
	moved    [enclosure.MotionCount]uint16  // 0020 to 0035 as found
	broken   map[string]bool
	unheard  uint64 // frames sent as they are, without an answer
	// overslept counts pauses that a busy computer made much longer.
	overslept uint64
	words     string // what is worth saying though the rule is kept
	reversals [2][2]*reversal
	delays    *delays
}

// ended ends a rule from anywhere within it.
type ended struct {
	outcome Outcome
	words   string
}

// wrong ends a rule as broken, unsure as doubtful, skip as not tried.
func (t *tester) wrong(format string, values ...any) {
	panic(ended{Broken, fmt.Sprintf(format, values...)})
}

func (t *tester) unsure(format string, values ...any) {
	panic(ended{Doubted, fmt.Sprintf(format, values...)})
}

func (t *tester) skip(format string, values ...any) {
	panic(ended{NotTried, fmt.Sprintf(format, values...)})
}

// lost is how many exchanges had no usable reply.
func (t *tester) lost() uint64 {
	return t.unheard + t.master.Counts.Silent + t.master.Counts.Damaged + t.master.Counts.StaleOnly
}

// request makes one exchange, whatever comes of it. A function that is refused
// isn't replaced by others.
func (t *tester) request(q rtu.Request) ([]uint16, error) {
	q.Unit = t.Unit
	t.master.Split = false
	registers, err := t.master.Exchange(&q, t.Clock.Now()+t.Wait)
	if t.master.Split {
		return nil, rtu.IllegalFunction
	}
	return slices.Clone(registers), err
}

// try makes one exchange of a rule.
func (t *tester) try(q rtu.Request) ([]uint16, error) {
	if t.ctx.Err() != nil {
		t.skip("ended")
	}
	return t.request(q)
}

// must makes an exchange that has to be answered.
func (t *tester) must(q rtu.Request) []uint16 {
	registers, err := t.try(q)
	if err != nil {
		t.wrong("function %02d: %v", q.Function, err)
	}
	return registers
}

func (t *tester) read(address, count uint16) []uint16 {
	return t.must(rtu.Request{Function: rtu.ReadHolding, ReadAddress: address, ReadCount: count})
}

// writing is a request that writes.
func (t *tester) writing(address uint16, values ...uint16) rtu.Request {
	q := rtu.Request{Function: t.by, WriteAddress: address, Write: values}
	if t.by == rtu.ReadWrite {
		q.ReadAddress, q.ReadCount = 0x0021, 1
	}
	return q
}

func (t *tester) write(address uint16, values ...uint16) { t.must(t.writing(address, values...)) }

// next is a sequence that wasn't used just before.
func (t *tester) next() uint16 {
	if t.sequence++; t.sequence == 0 {
		t.sequence++
	}
	return t.sequence
}

// oversleeps is by how much a pause may be too long before it can spoil a rule.
const oversleeps = 40 * time.Millisecond

// sleep lets time pass, and notes where it was much more.
func (t *tester) sleep(d time.Duration) {
	began := t.Clock.Now()
	t.Clock.Sleep(t.ctx, d)
	if t.Clock.Now()-began > d+oversleeps {
		t.overslept++
	}
	if t.ctx.Err() != nil {
		t.skip("ended")
	}
}

// off asks for nothing at all, and clears nothing.
func (t *tester) off() error {
	_, err := t.request(t.writing(0x0010, t.next(), 0, 0, 0, max(t.period, enclosure.MinWatchdog), 0))
	return err
}

// tick writes 0010 to 0015 and reads 0020 to 0035, as the panel does.
func (t *tester) tick(orders enclosure.Orders, demand [2]int16, clear enclosure.Trips) enclosure.Motion {
	q := t.writing(0x0010, t.next(), uint16(orders), uint16(demand[0]), uint16(demand[1]), t.period, uint16(clear))
	if t.by != rtu.ReadWrite {
		t.must(q)
		return t.motion()
	}
	q.ReadAddress, q.ReadCount = enclosure.AddressMotion, enclosure.MotionCount
	return t.decoded(t.must(q))
}

// order is a tick without demands.
func (t *tester) order(orders enclosure.Orders) enclosure.Motion {
	return t.tick(orders, [2]int16{}, 0)
}

// motion reads 0020 to 0035, which feeds nothing.
func (t *tester) motion() enclosure.Motion {
	return t.decoded(t.read(enclosure.AddressMotion, enclosure.MotionCount))
}

func (t *tester) decoded(registers []uint16) enclosure.Motion {
	m, err := enclosure.DecodeMotion(registers)
	if err != nil {
		t.wrong("%v", err)
	}
	return m
}

// refuses sends a request that must be refused, and looks whether anything of it was taken.
func (t *tester) refuses(want rtu.Exception, what string, q rtu.Request) {
	before := t.read(0x0010, 16)
	_, err := t.try(q)
	var got rtu.Exception
	switch {
	case err == nil:
		t.wrong("%s is accepted", what)
	case !errors.As(err, &got):
		t.wrong("%s: %v", what, err)
	case got != want:
		t.wrong("%s: exception %02d, not %02d", what, byte(got), byte(want))
	}
	if after := t.read(0x0010, 16); !slices.Equal(before, after) {
		t.wrong("%s is refused, but something of it was taken", what)
	}
}

// cleared clears all trips; where one stands all the same, nothing that needs power or permit can be tried.
func (t *tester) cleared() {
	t.tick(0, [2]int16{}, enclosure.AllTrips)
	if m := t.order(0); m.Trips != 0 {
		t.skip("trips %09b stand and don't clear", m.Trips)
	}
}

// ready is cleared, with nothing against drive power.
func (t *tester) ready() {
	t.cleared()
	if m := t.motion(); m.State&(enclosure.StateStopOpen|enclosure.StateHand) != 0 {
		t.skip("the stop circuit is open, or the hand panel has control")
	}
}

// tickEvery is how often demands are renewed, powerWait how long drive power may take.
const (
	tickEvery = 100 * time.Millisecond
	powerWait = 2100 * time.Millisecond
)

// on clears what stands and has orders in force.
func (t *tester) on(orders enclosure.Orders) enclosure.Motion {
	if orders.Has(enclosure.OrderPower) {
		t.ready()
	} else {
		t.cleared()
	}
	m := t.order(orders)
	if orders.Has(enclosure.OrderPower) {
		m = t.powered(m, orders)
	}
	if orders.Has(enclosure.OrderPermit) && m.More&enclosure.MorePermitted == 0 {
		t.skip("the transmit permit is not given")
	}
	return m
}

// powered waits until the drive power that was ordered is on.
func (t *tester) powered(m enclosure.Motion, orders enclosure.Orders) enclosure.Motion {
	for began := t.Clock.Now(); m.State&enclosure.StatePower == 0; m = t.order(orders) {
		if t.Clock.Now()-began > powerWait {
			t.skip("drive power does not come on")
		}
		t.sleep(tickEvery)
	}
	return m
}

// running says whether drive power is on or coming on.
func running(m enclosure.Motion) bool {
	return m.State&enclosure.StatePower != 0 || m.More&enclosure.MoreComingOn != 0
}

// asks sends bytes as they are, and returns what comes within the time of a reply.
func (t *tester) asks(frames ...[]byte) (reply []byte) {
	if t.ctx.Err() != nil {
		t.skip("ended")
	}
	// A late reply to something before would be taken for one to these.
	t.sleep(5 * time.Millisecond)
	for i, frame := range frames {
		if i > 0 {
			t.sleep(framePause)
		}
		if _, err := t.line.Write(frame); err != nil {
			t.skip("writing to the line: %v", err)
		}
	}
	var buffer [rtu.MaxFrame]byte
	for until := t.Clock.Now() + t.Wait/2; t.Clock.Now() < until; {
		if err := t.line.SetReadTimeout(30 * time.Millisecond); err != nil {
			t.skip("the line's timeout: %v", err)
		}
		n, err := t.line.Read(buffer[:])
		if err != nil {
			t.skip("reading the line: %v", err)
		}
		if reply = append(reply, buffer[:n]...); n == 0 && len(reply) > 0 {
			break
		}
	}
	if len(reply) == 0 {
		t.unheard++
	}
	return reply
}
