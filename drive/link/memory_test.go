package link

import (
	"errors"
	"testing"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/badcable"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

const ms = time.Millisecond

// stand is a dish that only says where it stands: its azimuth counts follow the drive.
type stand struct {
	out   plant.Output
	place float64
}

func (d *stand) Step(in plant.Input) plant.Output {
	d.place += 1000 * in.Applied[0] * in.Elapsed.Seconds()
	d.out.SupplyBack, d.out.Powered = true, in.Contactor
	d.out.Axes[0].Counts = int32(d.place)
	d.out.Readings[enclosure.DriveSupply], d.out.Readings[enclosure.HighVoltage],
		d.out.Readings[enclosure.ForwardPower] = 27.5, 1200, 3
	return d.out
}

// bench is a memory link to an enclosure, over a line.
type bench struct {
	*testing.T
	*Memory
	line  *badcable.Line
	slave *serve.Slave
	dish  *stand
	tick  time.Duration
	next  time.Duration
}

func newBench(t *testing.T, cable badcable.Config, change func(*serve.Config)) *bench {
	t.Helper()
	b := &bench{T: t, dish: &stand{}, tick: 100 * ms}
	c := serve.Default()
	c.Baud = cable.Baud
	if change != nil {
		change(&c)
	}
	e, err := serve.New(b.dish, c)
	if err != nil {
		t.Fatal(err)
	}
	b.slave = serve.NewSlave(e)
	if b.line, err = badcable.NewLine(b.slave, cable); err != nil {
		t.Fatal(err)
	}
	b.Memory = NewMemory(b.line, c.Unit)
	return b
}

// ask makes the next exchange, one a tick.
func (b *bench) ask(a drive.Ask, d enclosure.Demand) drive.Reply {
	if d.WatchdogMillis == 0 {
		d.WatchdogMillis = 1000
	}
	b.next = max(b.next+b.tick, b.line.Now())
	return b.Exchange(drive.Request{Ask: a, Demand: d, At: b.next, Deadline: b.next + b.tick*9/10})
}

// met is a bench whose link has met the enclosure.
func met(t *testing.T, cable badcable.Config, change func(*serve.Config)) *bench {
	b := newBench(t, cable, change)
	if r := b.ask(drive.AskMotion, enclosure.Demand{}); !errors.Is(r.Err, ErrHandshake) {
		t.Fatalf("the first exchange: %v", r.Err)
	}
	return b
}

func TestMeeting(t *testing.T) {
	b := newBench(t, badcable.Default(), nil)
	if err := b.slave.Enclosure().Write(0x10, []uint16{0xFFFE}); err != nil {
		t.Fatal(err)
	}
	if r := b.ask(drive.AskMotion, enclosure.Demand{Az: 5000}); !errors.Is(r.Err, ErrHandshake) {
		t.Fatalf("the first exchange: %v", r.Err)
	}
	before := b.line.Now()
	r := b.ask(drive.AskIdentity, enclosure.Demand{})
	if r.Err != nil || r.Identity.MapVersion != 1 || !r.Identity.Fitted.Has(enclosure.FittedWind) ||
		r.Identity.RampMillis[0] != 1000 {
		t.Fatalf("the identity is %+v, %v", r.Identity, r.Err)
	}
	if took := b.line.Now() - max(before, b.next); took != 0 {
		t.Errorf("the identity that was read a moment ago took %v on the line", took)
	}
	for i, want := range []struct {
		sequence uint16
		az       int16
	}{{0xFFFF, 0}, {0, 5000}, {1, 5000}} {
		r = b.ask(drive.AskMotion, enclosure.Demand{Az: 5000})
		if r.Err != nil || r.Motion.Sequence != want.sequence {
			t.Errorf("exchange %d: sequence %d, %v, want %d", i, r.Motion.Sequence, r.Err, want.sequence)
		}
		if got := b.slave.Enclosure().Demand(); got.Az != want.az {
			t.Errorf("exchange %d: the demand is %d, want %d: zero first after meeting", i, got.Az, want.az)
		}
	}
	if s := b.Status(); !s.Answered || s.Quiet.Good != 4 || s.Quiet.Errors() != 0 {
		t.Errorf("the status is %+v", s)
	}
}

// TestLateDemandIsNotSent: a program that was halted after it had worked out a demand does not send it when it goes
// on; zero demand without orders is sent however late. A single late exchange is no trouble of the port.
func TestLateDemandIsNotSent(t *testing.T) {
	for _, split := range []bool{false, true} {
		b := met(t, badcable.Default(), func(c *serve.Config) { c.WithoutReadWrite = split })
		late := func(d enclosure.Demand, by time.Duration) (drive.Reply, enclosure.Demand) {
			d.WatchdogMillis = 1000
			now := b.line.Now()
			r := b.Exchange(drive.Request{Demand: d, At: now, Deadline: now - by})
			b.line.RunTo(b.line.Now() + 100*ms) // nobody waited for the reply
			b.next = b.line.Now()
			return r, b.slave.Enclosure().Demand()
		}
		for range 2 {
			b.ask(drive.AskMotion, enclosure.Demand{})
		}
		if _, at := late(enclosure.Demand{Az: 5000}, 100*ms); at.Az != 5000 {
			t.Errorf("split %v: 0.1 s late, the demand is %d: a busy computer is no reason", split, at.Az)
		}
		for _, d := range []enclosure.Demand{{Az: 7000}, {El: -1}, {Orders: enclosure.OrderPower}} {
			if r, at := late(d, 300*ms); !errors.Is(r.Err, rtu.ErrLate) || at.Az != 5000 || at.Orders != 0 {
				t.Errorf("split %v: %+v, 0.3 s late: %v, and the enclosure has %+v", split, d, r.Err, at)
			}
		}
		if _, at := late(enclosure.Demand{}, time.Minute); at.Az != 0 {
			t.Errorf("split %v: zero demand was not sent, the enclosure has %+v", split, at)
		}
		if s := b.Status(); s.Opened != 1 || !s.Answered {
			t.Errorf("split %v: %+v", split, s)
		}
	}
}

// TestTimeOnTheWire: 25 and 49 bytes of 11 bits at 19200 baud, and a reply
// delay of 3.5 characters (MODBUS over Serial Line V1.02): 44.4 ms.
func TestTimeOnTheWire(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	r := b.ask(drive.AskMotion, enclosure.Demand{})
	want := 155 * 11 * time.Second / 19200 / 2
	if took := r.ReceivedAt - r.SentAt; r.Err != nil || (took-want).Abs() > 50*time.Microsecond {
		t.Errorf("a tick took %v, %v, want %v", took, r.Err, want)
	}
}

func TestReadings(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	all := enclosure.NoReadings()
	var latches, upper int
	for i := range 20 {
		for _, a := range []drive.Ask{drive.AskReadings, drive.AskMoreReadings} {
			b.next += 150 * ms // each block twice a second
			r := b.ask(a, enclosure.Demand{})
			if r.Err != nil {
				t.Fatalf("exchange %d: %v", i, r.Err)
			}
			if r.Readings.HasLatches {
				latches++
			}
			upper += int(r.Readings.Read >> enclosure.HighVoltage & 1)
			all.Merge(&r.Readings)
		}
	}
	if latches < 9 || latches > 11 || upper < 9 || upper > 11 {
		t.Errorf("in 10 s latches came %d times and the upper readings %d, want 10", latches, upper)
	}
	for i, want := range map[int]float64{enclosure.DriveSupply: 27.5, enclosure.HighVoltage: 1200,
		enclosure.ForwardPower: 3} {
		if got := all.Value(i); got != want {
			t.Errorf("%s is %v, want %v", enclosure.Describe(i).Name, got, want)
		}
	}
}

func TestSlowOrders(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	b.next += b.tick
	r := b.Exchange(drive.Request{
		Ask: drive.AskSlow, Demand: enclosure.Demand{WatchdogMillis: 1000}, At: b.next, Deadline: b.next + 90*ms,
		Slow: enclosure.SlowOrders{Outputs: enclosure.OutputPreamplifier, Band: 3, FeedTenths: -450},
	})
	if r.Err != nil || r.Motion.Sequence == 0 {
		t.Fatalf("slow orders: %+v, %v", r.Motion, r.Err)
	}
	read := rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x18, ReadCount: 3}
	registers, err := rtu.NewMaster(b.line, b.line.Now).Exchange(&read, b.line.Now()+time.Second)
	if err != nil || registers[0] != 2 || registers[1] != 3 || int16(registers[2]) != -450 {
		t.Errorf("slow orders read back as %v, %v", registers, err)
	}
}

func TestWithoutReadWrite(t *testing.T) {
	b := met(t, badcable.Default(), func(c *serve.Config) { c.WithoutReadWrite = true })
	b.tick = 200 * ms
	for i := range 5 {
		if r := b.ask(drive.AskMotion, enclosure.Demand{}); r.Err != nil || int(r.Motion.Sequence) != i+1 {
			t.Fatalf("exchange %d: sequence %d, %v", i, r.Motion.Sequence, r.Err)
		}
	}
	if r := b.ask(drive.AskReadings, enclosure.Demand{}); r.Err != nil ||
		r.Readings.Value(enclosure.DriveSupply) != 27.5 {
		t.Errorf("readings: %v", r.Err)
	}
	if !b.Status().WithoutReadWrite {
		t.Error("the status does not say so")
	}
}

// otherMap is an enclosure with another version of the map.
type otherMap struct{ *serve.Slave }

func (o otherMap) Say() ([]byte, time.Duration, bool) {
	p, at, ok := o.Slave.Say()
	if ok && p[1] == 3 {
		p[4] = 2
		p = rtu.AppendCRC(p[:len(p)-2], 0)
	}
	return p, at, ok
}

func TestMapVersion(t *testing.T) {
	b := newBench(t, badcable.Default(), nil)
	line, err := badcable.NewLine(otherMap{b.slave}, badcable.Default())
	if err != nil {
		t.Fatal(err)
	}
	b.line, b.Memory = line, NewMemory(line, 1)
	b.ask(drive.AskMotion, enclosure.Demand{})
	if r := b.ask(drive.AskIdentity, enclosure.Demand{}); r.Err != nil || r.Identity.MapVersion != 2 {
		t.Fatalf("the identity is %+v, %v", r.Identity, r.Err)
	}
	for _, a := range []drive.Ask{drive.AskMotion, drive.AskSlow, drive.AskReadings} {
		if r := b.ask(a, enclosure.Demand{Az: 1}); !errors.Is(r.Err, ErrMapVersion) {
			t.Errorf("ask %d: %v", a, r.Err)
		}
	}
	if d := b.slave.Enclosure().Demand(); d.Sequence != 0 {
		t.Errorf("an enclosure with another map was written to: %+v", d)
	}
}

func TestKeyedApart(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	b.dish.out.Keyed = true
	for range 3 {
		b.ask(drive.AskMotion, enclosure.Demand{})
	}
	b.line.Hang(time.Second)
	b.ask(drive.AskMotion, enclosure.Demand{})
	s := b.Status()
	// The exchange that brings the news is counted by what it brings.
	if s.Quiet.Good != 1 || s.Keyed.Good != 3 || s.Keyed.Silent != 1 || s.Quiet.Errors() != 0 {
		t.Errorf("the status is %+v", s)
	}
}

func TestUnplugged(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	b.line.Unplug()
	if r := b.ask(drive.AskMotion, enclosure.Demand{}); !errors.Is(r.Err, badcable.ErrUnplugged) {
		t.Errorf("unplugged: %v", r.Err)
	}
	b.line.Plug()
	if r := b.ask(drive.AskMotion, enclosure.Demand{}); !errors.Is(r.Err, ErrHandshake) {
		t.Errorf("plugged in again: %v", r.Err)
	}
	if s := b.Status(); s.Opened != 2 || s.Quiet.Failed != 1 {
		t.Errorf("the status is %+v", s)
	}
}

// TestTickAllocatesNothing: a tick over the virtual line, both ends counted.
func TestTickAllocatesNothing(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	if n := testing.AllocsPerRun(100, func() {
		if r := b.ask(drive.AskMotion, enclosure.Demand{}); r.Err != nil {
			t.Fatal(r.Err)
		}
	}); n != 0 {
		t.Errorf("a tick allocates %v times", n)
	}
}
