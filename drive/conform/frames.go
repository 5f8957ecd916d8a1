package conform

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// framePause is a pause within a frame that every enclosure must tolerate.
const framePause = 5 * time.Millisecond

func reading(address, count uint16) rtu.Request {
	return rtu.Request{Function: rtu.ReadHolding, ReadAddress: address, ReadCount: count}
}

// frame is a request as it goes over the line, to a unit.
func frame(q rtu.Request, unit byte) []byte {
	q.Unit = unit
	return q.Append(nil)
}

func (t *tester) everyRegister() {
	all := t.read(0x0000, 0x60)
	highest := int(max(t.identity.Highest, 0x005F))
	for at := 0x60; at <= highest; at += 0x40 {
		t.read(uint16(at), uint16(min(0x40, highest+1-at)))
	}
	// Blocks may begin and end anywhere.
	for _, block := range [][2]uint16{{0x003F, 13}, {0x004C, 13}, {0x000E, 4}, {0x0023, 2}} {
		if got := t.read(block[0], block[1]); len(got) != int(block[1]) {
			t.wrong("%d registers from %04X, asked for %d", len(got), block[0], block[1])
		}
	}
	if one := t.read(0x0004, 1); one[0] != all[4] {
		t.wrong("0004 alone is %04X, among the others %04X", one[0], all[4])
	}
}

func (t *tester) inputsAreHoldings() {
	a := t.read(0x0004, 12)
	b := t.must(rtu.Request{Function: rtu.ReadInput, ReadAddress: 0x0004, ReadCount: 12})
	if !slices.Equal(a, b) {
		t.wrong("%04X by 03, %04X by 04", a, b)
	}
}

func (t *tester) beyondTheMap() {
	t.refuses(rtu.IllegalDataAddress, "reading FF00", reading(0xFF00, 1))
	if h := t.identity.Highest; h >= 0x005F && h < 0xFF00 {
		t.refuses(rtu.IllegalDataAddress, "the register behind the one in 000F", reading(h+1, 1))
		t.refuses(rtu.IllegalDataAddress, "a range that runs out of the map", reading(h, 2))
	}
}

func (t *tester) quantities() {
	t.refuses(rtu.IllegalDataValue, "a quantity of 0", reading(0x0000, 0))
	t.refuses(rtu.IllegalDataValue, "a quantity of 126", reading(0x0000, 126))
	short := rtu.AppendCRC([]byte{t.Unit, byte(rtu.WriteMany), 0, 0x19, 0, 2, 2, 0, 0}, 0)
	t.answers("a byte count that isn't twice the quantity", short, byte(rtu.WriteMany), rtu.IllegalDataValue)
}

// answers sends a frame that must be answered by an exception.
func (t *tester) answers(what string, sent []byte, function byte, want rtu.Exception) {
	reply := t.asks(sent)
	if expected := rtu.AppendCRC([]byte{t.Unit, function | 0x80, byte(want)}, 0); !bytes.Equal(reply, expected) {
		t.wrong("%s: it answers % X, not % X", what, reply, expected)
	}
}

func (t *tester) unknownFunction() {
	t.answers("function 65", rtu.AppendCRC([]byte{t.Unit, 0x41}, 0), 0x41, rtu.IllegalFunction)
}

func (t *tester) onlyRead() {
	t.refuses(rtu.IllegalDataAddress, "a write to 0020", t.writing(0x0020, 0))
	t.refuses(rtu.IllegalDataAddress, "a write to 000F", t.writing(0x000F, 0x005F))
	t.refuses(rtu.IllegalDataAddress, "a write from 001F to 0020", t.writing(0x001F, 0, 0))
}

func (t *tester) orderOfChecks() {
	t.refuses(rtu.IllegalDataValue, "a quantity of 0 outside the map", reading(0xFF00, 0))
	t.refuses(rtu.IllegalDataAddress, "a bad value, written to 001F and 0020", t.writing(0x001F, 1, 0))
	t.refuses(rtu.IllegalDataAddress, "function 23 with a bad value and a range outside the map to read", rtu.Request{
		Function: rtu.ReadWrite, ReadAddress: 0xFF00, ReadCount: 1, WriteAddress: 0x0016, Write: []uint16{1}})
}

// refusedWhole: nothing of a refused request holds.
func (t *tester) refusedWhole() {
	t.refuses(rtu.IllegalDataValue, "a write with one bad value", t.writing(0x0010, t.next(), 0, 0, 0, 1, 0))
	t.refuses(rtu.IllegalDataAddress, "function 23 with a range outside the map to read", rtu.Request{
		Function: rtu.ReadWrite, ReadAddress: 0xFF00, ReadCount: 1, WriteAddress: 0x0010, Write: []uint16{t.next()}})
}

// writesBy tries a function that only writes.
func writesBy(f rtu.Function) func(*tester) {
	return func(t *tester) {
		want := t.next()
		t.must(rtu.Request{Function: f, WriteAddress: 0x0010, Write: []uint16{want}})
		if got := t.read(0x0010, 1)[0]; got != want {
			t.wrong("wrote %d to 0010, which reads %d", want, got)
		}
	}
}

func (t *tester) writesFirst() {
	for range 3 {
		want := t.next()
		got := t.must(rtu.Request{Function: rtu.ReadWrite, ReadAddress: 0x0010, ReadCount: 1, WriteAddress: 0x0010,
			Write: []uint16{want}})
		if got[0] != want {
			t.wrong("it wrote %d to 0010 and read %d from there", want, got[0])
		}
	}
}

func (t *tester) otherUnit() {
	if len(t.asks(frame(reading(0, 1), t.Unit%247+1))) > 0 {
		t.wrong("something answered (is there another unit on the line?)")
	}
}

func (t *tester) broadcast() {
	before := t.read(0x0010, 1)[0]
	sent := frame(rtu.Request{Function: rtu.WriteOne, WriteAddress: 0x0010, Write: []uint16{before + 77}}, 0)
	if len(t.asks(sent)) > 0 {
		t.wrong("it was answered")
	}
	if after := t.read(0x0010, 1)[0]; after != before {
		t.wrong("it was obeyed")
	}
}

// damaged is a request whose CRC is wrong.
func (t *tester) damaged() []byte {
	f := frame(reading(0, 1), t.Unit)
	f[len(f)-1] ^= 0x55
	return f
}

func (t *tester) badFrame() {
	if len(t.asks(t.damaged())) > 0 {
		t.wrong("it was answered")
	}
}

func (t *tester) badFrameCount() {
	before := t.read(0x003C, 1)[0]
	t.asks(t.damaged())
	if n := t.read(0x003C, 1)[0] - before; n != 1 {
		t.wrong("it counted %d times", n)
	}
}

// isAnswer says whether a reply is one to reading(0, 1).
func (t *tester) isAnswer(reply []byte) bool {
	return len(reply) == 7 && bytes.HasPrefix(reply, []byte{t.Unit, byte(rtu.ReadHolding), 2}) && rtu.CRCValid(reply)
}

func (t *tester) unfinishedFrame() {
	whole := frame(reading(0, 1), t.Unit)
	if _, err := t.line.Write(whole[:5]); err != nil {
		t.skip("writing to the line: %v", err)
	}
	t.sleep(60 * time.Millisecond)
	if !t.isAnswer(t.asks(whole)) {
		t.wrong("the request after it is not answered")
	}
}

func (t *tester) frameBehindABadOne() {
	if !t.isAnswer(t.asks(append(t.damaged(), frame(reading(0, 1), t.Unit)...))) {
		t.wrong("it is not answered")
	}
}

func (t *tester) pauseInAFrame() {
	whole := frame(reading(0, 1), t.Unit)
	for range 3 { // a busy computer makes a longer pause of it
		if t.isAnswer(t.asks(whole[:4], whole[4:])) {
			return
		}
	}
	t.wrong("a request with a pause of %v in it is not answered", framePause)
}

// delays are those of twenty replies, without the characters.
type delays struct{ shortest, median, longest time.Duration }

func (t *tester) delay() delays {
	if t.Character == 0 {
		t.skip("the speed of the line isn't known")
	}
	if t.delays != nil {
		return *t.delays
	}
	takes := func(registers uint16) time.Duration {
		began := t.Clock.Now()
		t.read(enclosure.AddressIdentity, registers)
		return t.Clock.Now() - began
	}
	var took [20]time.Duration
	for i := range took {
		took[i] = takes(1)
	}
	slices.Sort(took[:])
	// Eight characters there, seven back, unless a longer reply takes no longer:
	// a pseudo-terminal passes them in no time.
	characters := 15 * t.Character
	const longer = 29
	if min(takes(1+longer), takes(1+longer), takes(1+longer))-took[0] < longer*t.Character {
		characters = 0
	}
	t.delays = &delays{took[0] - characters, took[len(took)/2] - characters, took[len(took)-1] - characters}
	return *t.delays
}

// notEarly judges what an adapter can only make longer.
func (t *tester) notEarly() {
	gap := t.Character * 7 / 2
	if t.Character < 500*time.Microsecond { // above 19200 baud
		gap = 1750 * time.Microsecond
	}
	if d := t.delay().shortest; d < gap*9/10 {
		t.wrong("a reply began after %v, 3.5 characters are %v", d.Round(10*time.Microsecond),
			gap.Round(10*time.Microsecond))
	}
}

// notLate takes a single late one for the computer's, and a few ms for an adapter's.
func (t *tester) notLate() {
	d := t.delay()
	words := fmt.Sprintf("half of 20 took %v, the longest %v", d.median.Round(100*time.Microsecond),
		d.longest.Round(100*time.Microsecond))
	switch {
	case d.median > 40*time.Millisecond:
		t.wrong("%s", words)
	case d.longest > 12*time.Millisecond:
		t.unsure("%s: a USB adapter or a busy computer may cause such a wait", words)
	}
	t.words = words
}
