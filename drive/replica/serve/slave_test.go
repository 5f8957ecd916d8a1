package serve

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// ask lets a slave hear a request and returns its reply without the CRC, nil for none.
func ask(t *testing.T, s *Slave, at time.Duration, request []byte) []byte {
	t.Helper()
	s.Hear(rtu.AppendCRC(bytes.Clone(request), 0), at)
	p, _, ok := s.Say()
	s.Said()
	if !ok {
		return nil
	}
	if !rtu.CRCValid(p) {
		t.Fatalf("the reply % X has a bad CRC", p)
	}
	return bytes.Clone(p[:len(p)-2])
}

func newSlave(t *testing.T, change func(*Config)) (*Slave, *testDish) {
	k := newDesk(t, change)
	return NewSlave(k.e), k.d
}

func fromHex(t *testing.T, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestRefusals: MODBUS Application Protocol V1.1b3, section 7 for the codes and
// the state diagrams of section 6 for the order of checks: function, quantity
// and byte count, addresses, values.
func TestRefusals(t *testing.T) {
	rows := []struct{ name, request, reply string }{
		{"function 01", "01010000000A", "018101"},
		{"function 2B", "012B0E0100", "01AB01"},
		{"function 08", "010800001234", "018801"},
		{"quantity 0", "010300000000", "018303"},
		{"quantity 126", "01030000007E", "018303"},
		{"quantity 0 outside the map: the quantity first", "010400600000", "018403"},
		{"last register", "0103005F0001", "0103028000"},
		{"beyond the last register", "0103005F0002", "018302"},
		{"outside the map", "010400600001", "018402"},
		{"address and quantity wrap", "0103FFFF0002", "018302"},
		{"write identity", "010600000001", "018602"},
		{"write motion", "010600200000", "018602"},
		{"write across the end of the written", "0110001F00020400000000", "019002"},
		{"byte count does not fit", "011000100002020000", "019003"},
		{"quantity 0 of a write", "01100010000000", "019003"},
		{"demand 10001", "010600122711", "018603"},
		{"demand -10001", "01060012D8EF", "018603"},
		{"demand -10000", "01060012D8F0", "01060012D8F0"},
		{"order of an unknown bit", "010600110002", "018603"},
		{"watchdog 199", "0106001400C7", "018603"},
		{"watchdog 2001", "0106001407D1", "018603"},
		{"output of bit 8", "010600180100", "018603"},
		{"band 16", "010600190010", "018603"},
		{"reserved", "010600160001", "018603"},
		{"reserved, 0", "0106001B0000", "0106001B0000"},
		{"trips that don't exist", "01060015FE00", "01060015FE00"},
		{"the whole block", "01100010001020" + strings.Repeat("0000", 4) + "03E8" + strings.Repeat("0000", 11),
			"011000100010"},
		{"23: read range first", "0117005F000200000001020000", "019702"},
		{"23: read range before values", "0117006000010012000102FFFF", "019702"},
		{"23: write range", "01170020000100200001020000", "019702"},
		{"23: values", "01170020000100110001020002", "019703"},
		{"23: quantity to read", "01170020000000100001020001", "019703"},
		{"23: byte count", "0117002000010010000103000100", "019703"},
	}
	for _, row := range rows {
		s, _ := newSlave(t, nil)
		if got := ask(t, s, 0, fromHex(t, row.request)); !bytes.Equal(got, fromHex(t, row.reply)) {
			t.Errorf("%s: %s gives %X, want %s", row.name, row.request, got, row.reply)
		}
	}
}

// TestRefusedWriteLeavesNothing: where one value is out of range nothing of
// the request holds, and the sequence isn't taken.
func TestRefusedWriteLeavesNothing(t *testing.T) {
	s, _ := newSlave(t, nil)
	before := s.enclosure.Demand()
	good := rtu.Request{Unit: 1, Function: rtu.ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10,
		Write: []uint16{7, 4, 1, 2, 500, 0}}
	bad := good
	bad.Write = []uint16{7, 4, 1, 2, 199, 0}
	frame := bad.Append(nil)
	if got := ask(t, s, 0, frame[:len(frame)-2]); !bytes.Equal(got, []byte{1, 0x97, 3}) {
		t.Fatalf("the reply is %X", got)
	}
	if got := s.enclosure.Demand(); got != before {
		t.Errorf("after a refusal the demand is %+v, want %+v", got, before)
	}
	frame = good.Append(nil)
	reply := ask(t, s, 10*time.Millisecond, frame[:len(frame)-2])
	if len(reply) != 47 || binary.BigEndian.Uint16(reply[5:]) != 7 {
		t.Errorf("the reply %X does not carry the sequence that it was asked with", reply)
	}
	if want := (enclosure.Demand{Sequence: 7, Orders: 4, Az: 1, El: 2,
		WatchdogMillis: 500}); s.enclosure.Demand() != want {
		t.Errorf("the demand is %+v, want %+v", s.enclosure.Demand(), want)
	}
}

func TestNotForUs(t *testing.T) {
	s, _ := newSlave(t, nil)
	for _, request := range []string{"0006001107D0", "00060012000A", "050300000001", "020300000002"} {
		if got := ask(t, s, 0, fromHex(t, request)); got != nil {
			t.Errorf("%s was answered with %X", request, got)
		}
	}
	if s.enclosure.Demand().Az != 0 {
		t.Error("a broadcast was taken")
	}
	if got := ask(t, s, 0, fromHex(t, "0103003C0001")); !bytes.Equal(got, []byte{1, 3, 2, 0, 0}) {
		t.Errorf("bad frames are %X, want none", got)
	}
	s.Hear([]byte{1, 3, 0, 0x3C, 0, 1, 0, 0}, time.Second)
	if got := ask(t, s, time.Second, fromHex(t, "0103003C0001")); !bytes.Equal(got, []byte{1, 3, 2, 0, 1}) {
		t.Errorf("bad frames are %X, want 1", got)
	}
}

func TestWithoutReadWrite(t *testing.T) {
	s, _ := newSlave(t, func(c *Config) { c.WithoutReadWrite = true })
	if got := ask(t, s, 0, fromHex(t, "01170020000100100001020001")); !bytes.Equal(got, []byte{1, 0x97, 1}) {
		t.Errorf("function 23 gives %X, want exception 01", got)
	}
}

// TestReplyDelay: 3.5 characters of 11 bits, 1.75 ms above 19200 baud (MODBUS
// over Serial Line V1.02, 2.5.1.1), at most 10 ms in all.
func TestReplyDelay(t *testing.T) {
	for _, row := range []struct {
		baud int
		want time.Duration
	}{{9600, 4010416 * time.Nanosecond}, {19200, 2005208 * time.Nanosecond}, {38400, 1750 * time.Microsecond},
		{115200, 1750 * time.Microsecond}} {
		s, _ := newSlave(t, func(c *Config) { c.Baud = row.baud })
		s.Hear(rtu.AppendCRC(fromHex(t, "010300000001"), 0), 5*time.Millisecond)
		_, at, ok := s.Say()
		if got := at - 5*time.Millisecond; !ok || got < row.want-time.Microsecond || got > row.want+time.Microsecond {
			t.Errorf("%d baud: the reply begins after %v, want %v", row.baud, got, row.want)
		}
		// What comes meanwhile is ignored.
		s.Hear(rtu.AppendCRC(fromHex(t, "010600120001"), 0), at)
		s.Said()
		if _, _, ok := s.Say(); ok || s.enclosure.Demand().Az != 0 {
			t.Errorf("%d baud: a request was heard while the reply left", row.baud)
		}
	}
}

func TestDeadEnclosureIsSilent(t *testing.T) {
	s, d := newSlave(t, nil)
	d.out.LogicDown = true
	s.Run(50 * time.Millisecond)
	if got := ask(t, s, 50*time.Millisecond, fromHex(t, "010300000001")); got != nil {
		t.Errorf("without supply it answers %X", got)
	}
}

// FuzzSlave: whatever comes in, replies are whole frames of this unit, and no
// register leaves its range.
func FuzzSlave(f *testing.F) {
	f.Add([]byte{1, 3, 0, 0, 0, 1, 0x84, 0x0A, 1, 6, 0, 0x12, 0x27, 0x11})
	f.Fuzz(func(t *testing.T, input []byte) {
		e, err := New(newTestDish(), Default())
		if err != nil {
			t.Fatal(err)
		}
		s := NewSlave(e)
		s.Hear(input, 0)
		for at := time.Duration(0); at < 100*time.Millisecond; at += 10 * time.Millisecond {
			s.Run(at)
			if p, _, ok := s.Say(); ok {
				if !rtu.CRCValid(p) || p[0] != 1 {
					t.Fatalf("% X gives % X", input, p)
				}
				s.Said()
			}
		}
		if d := e.Demand(); d.Az > 10000 || d.Az < -10000 || d.El > 10000 || d.El < -10000 || d.WatchdogMillis < 200 ||
			d.WatchdogMillis > 2000 || d.Orders&^enclosure.AllOrders != 0 {
			t.Fatalf("% X leaves %+v", input, d)
		}
	})
}

// The register page: a reply begins no later than 10 ms after the request.
func TestLatestReply(t *testing.T) {
	for _, row := range []struct {
		baud    int
		latest  time.Duration
		tooMuch time.Duration
	}{
		{9600, 10 * ms, 7 * ms}, {19200, 10 * ms, 9 * ms}, {57600, 10 * ms, 9 * ms},
		{1200, 32083 * time.Microsecond, time.Nanosecond}, // 3.5 characters of 11 bits take longer
	} {
		c := Default()
		c.Baud = row.baud
		late := c.Latest()
		if d := late.replyDelay() - row.latest; d < -time.Microsecond*20 || d > time.Microsecond*20 ||
			late.Validate() != nil {
			t.Errorf("%d baud: the latest reply begins after %v, want %v: %v", row.baud, late.replyDelay(), row.latest,
				late.Validate())
		}
		if c.Turnaround = row.tooMuch; c.Validate() == nil {
			t.Errorf("%d baud: a turnaround of %v is taken", row.baud, row.tooMuch)
		}
	}
}
