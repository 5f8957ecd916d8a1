package conform

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// rules are all rules, in the order in which they are tried.
//
//beamhelm:table
func rules() []rule {
	none := func(address uint16, values ...uint16) func(*tester) (Outcome, string) {
		return func(t *tester) (Outcome, string) { return t.takesNothing(rtu.BadValue, address, values...) }
	}
	return []rule{
		{"0000: the map version is 1", false, func(t *tester) (Outcome, string) {
			if t.identity.MapVersion != enclosure.MapVersion {
				return Broken, fmt.Sprintf("it is %d", t.identity.MapVersion)
			}
			return Kept, ""
		}},
		{"0001: at least one axis is fitted", false, func(t *tester) (Outcome, string) {
			if !t.identity.Fitted.Has(enclosure.FittedAzimuth) && !t.identity.Fitted.Has(enclosure.FittedElevation) {
				return Broken, "none is"
			}
			return Kept, ""
		}},
		{"000D, 000E read 0; 000F is 005F or more", false, (*tester).identityEnds},
		{"every register from 0000 to 005F is answered", false, func(t *tester) (Outcome, string) {
			_, err := t.read(0x0000, 0x60)
			return judge(err, "")
		}},
		{"function 04 gives the same values as 03", false, (*tester).inputsAreHoldings},
		{"an address beyond the map: exception 02", false, func(t *tester) (Outcome, string) {
			_, err := t.read(0xFF00, 1)
			return refused(err, rtu.BadAddress)
		}},
		{"a quantity of 0: exception 03", false, func(t *tester) (Outcome, string) {
			_, err := t.read(0x0000, 0)
			return refused(err, rtu.BadValue)
		}},
		{"a function that isn't known: exception 01", false, func(t *tester) (Outcome, string) {
			reply, err := t.asks(rtu.Seal([]byte{t.Unit, 0x41}, 0))
			if want := rtu.Seal([]byte{t.Unit, 0x41 | 0x80, byte(rtu.BadFunction)}, 0); err == nil && !bytes.Equal(reply, want) {
				return Broken, fmt.Sprintf("it answers % X, not % X", reply, want)
			}
			return judge(err, "")
		}},
		{"a write to a register that is only read: exception 02", false, func(t *tester) (Outcome, string) {
			return t.takesNothing(rtu.BadAddress, 0x0020, 0)
		}},
		{"0011: a bit without a meaning is refused, exception 03, and nothing is taken", false, none(0x0011, 1<<1)},
		{"0012: a drive beyond 10000 is refused", false, none(0x0012, 10001)},
		{"0014: a watchdog below 200 ms is refused", false, none(0x0014, 199)},
		{"0014: a watchdog above 2000 ms is refused", false, none(0x0014, 2001)},
		{"0016, 0017: anything but 0 is refused", false, none(0x0016, 1)},
		{"0018: outputs above bit 7 are refused", false, none(0x0018, 1<<8)},
		{"0019: a band above 15 is refused", false, none(0x0019, 16)},
		{"function 23: the reply carries the sequence just written", false, func(t *tester) (Outcome, string) {
			_, err := t.tick(0, 0, 0, 0)
			return judge(err, "")
		}},
		{"the sequence by functions 06 and 16 is taken, and stands in 0021, 003F and 0058", false, (*tester).sequences},
		{"what is written reads back as written", false, (*tester).readsBack},
		{"a write refused within a longer one: nothing of it takes effect", false, (*tester).allOrNothing},
		{"002A: the time goes on by itself", false, (*tester).timeGoesOn},
		{"at rest: no power, nothing applied, no permit", false, (*tester).atRest},
		{"0032: the start counter is that of 0004", false, (*tester).startCounter},
		{"005D to 005F read -32768", false, (*tester).unusedReadings},
		{"a frame with a bad CRC is not answered, and counts once in 003C", false, (*tester).badFrame},
		{"a frame to another unit is not answered", false, (*tester).otherUnit},
		{"a broadcast is not answered, and changes nothing", false, (*tester).broadcast},
		{"a reply begins within 10 ms", false, (*tester).promptly},
		{"trip 3 clears, and stays cleared", false, (*tester).clears},
		{"power comes on by a change from 0 to 1 alone, within 2 s", true, (*tester).powersOn},
		{"silence: the watchdog trips, applied drive 0, power off", true, (*tester).watchdog},
		{"after a trip power doesn't come on before it is cleared", true, (*tester).noPowerBeforeClearing},
		{"orders bit 0 = 0: power off at once", true, (*tester).powersOff},
		{"azimuth turns and counts, and its drive is shown", true, func(t *tester) (Outcome, string) { return t.turns(0) }},
		{"elevation turns and counts, and its drive is shown", true, func(t *tester) (Outcome, string) { return t.turns(1) }},
	}
}

// takesNothing tries a write that must be refused, together with a sequence that must not be taken.
func (t *tester) takesNothing(want rtu.Exception, address uint16, values ...uint16) (Outcome, string) {
	before, err := t.read(0x0010, 16)
	if err != nil {
		return judge(err, "")
	}
	outcome, words := refused(t.write(address, values...), want)
	after, err := t.read(0x0010, 16)
	if outcome != Kept || err != nil {
		_ = t.rest() // whatever was accepted is taken back
		if err != nil {
			words = err.Error()
		}
		return Broken, words
	}
	if !slices.Equal(before, after) {
		return Broken, "it was refused, but took effect"
	}
	return Kept, ""
}

func (t *tester) identityEnds() (Outcome, string) {
	r, err := t.read(0x000D, 3)
	if err == nil && (r[0] != 0 || r[1] != 0 || r[2] < 0x005F) {
		return Broken, fmt.Sprintf("%04X %04X %04X", r[0], r[1], r[2])
	}
	return judge(err, "")
}

func (t *tester) inputsAreHoldings() (Outcome, string) {
	a, err := t.read(0x0004, 12)
	if err != nil {
		return judge(err, "")
	}
	b, err := t.exchange(rtu.Request{Function: rtu.ReadInput, ReadAddress: 0x0004, ReadCount: 12})
	if err == nil && !slices.Equal(a, b) {
		return Broken, fmt.Sprintf("%04X by 03, %04X by 04", a, b)
	}
	return judge(err, "")
}

func (t *tester) sequences() (Outcome, string) {
	for _, q := range []rtu.Request{
		{Function: rtu.WriteOne, WriteAddress: 0x0010, Write: []uint16{t.next()}},
		{Function: rtu.WriteMany, WriteAddress: 0x0010, Write: []uint16{t.next()}},
	} {
		want := q.Write[0]
		if _, err := t.exchange(q); err != nil {
			return judge(fmt.Errorf("function %02d: %w", q.Function, err), "")
		}
		for _, address := range []uint16{0x0010, 0x0021, 0x003F, 0x0058} {
			r, err := t.read(address, 1)
			if err != nil || r[0] != want {
				return judge(err, fmt.Sprintf("%04X holds another after function %02d", address, q.Function))
			}
		}
	}
	return Kept, ""
}

func (t *tester) readsBack() (Outcome, string) {
	want := []uint16{t.next(), 0, 0, 0, 900, 0}
	if err := t.write(0x0010, want...); err != nil {
		return judge(err, "")
	}
	got, err := t.read(0x0010, 6)
	if err == nil && !slices.Equal(got, want) {
		return Broken, fmt.Sprintf("wrote %d, reads %d", want, got)
	}
	return judge(err, "")
}

func (t *tester) allOrNothing() (Outcome, string) {
	before, err := t.read(0x0010, 6)
	if err != nil {
		return judge(err, "")
	}
	if outcome, words := refused(t.write(0x0010, t.next(), 0, 0, 0, 1, 0), rtu.BadValue); outcome != Kept {
		return outcome, words
	}
	after, err := t.read(0x0010, 6)
	if err == nil && !slices.Equal(before, after) {
		return Broken, "the sequence was taken"
	}
	return judge(err, "")
}

func (t *tester) timeGoesOn() (Outcome, string) {
	at := func() (uint32, error) {
		r, err := t.read(0x002A, 2)
		if err != nil {
			return 0, err
		}
		return uint32(r[0])<<16 | uint32(r[1]), nil
	}
	first, err := at()
	if err != nil {
		return judge(err, "")
	}
	begun := time.Now()
	time.Sleep(time.Second)
	second, err := at()
	passed := time.Since(begun)
	went := time.Duration(second-first) * time.Millisecond
	if err == nil && (went < passed*97/100-20*time.Millisecond || went > passed*103/100+20*time.Millisecond) {
		return Broken, fmt.Sprintf("%v went by in %v", went, passed.Round(time.Millisecond))
	}
	return judge(err, "")
}

func (t *tester) atRest() (Outcome, string) {
	m, err := t.tick(0, 0, 0, 0)
	switch {
	case err != nil:
	case m.State&enclosure.StatePower != 0:
		return Broken, "drive power is on"
	case m.Applied[0] != 0 || m.Applied[1] != 0:
		if m.State&enclosure.StateHand != 0 {
			return Doubted, "the hand panel drives"
		}
		return Broken, "a drive is applied"
	case m.More&enclosure.MorePermitted != 0:
		return Broken, "transmitting is permitted"
	}
	return judge(err, "")
}

func (t *tester) startCounter() (Outcome, string) {
	r, err := t.read(0x0032, 1)
	if err == nil && r[0] != t.identity.StartCounter {
		return Broken, fmt.Sprintf("%d, and %d in 0004", r[0], t.identity.StartCounter)
	}
	return judge(err, "")
}

func (t *tester) unusedReadings() (Outcome, string) {
	r, err := t.read(0x005D, 3)
	if err == nil && (r[0] != 0x8000 || r[1] != 0x8000 || r[2] != 0x8000) {
		return Broken, fmt.Sprintf("%04X", r)
	}
	return judge(err, "")
}

// asks sends bytes as they are, and returns what comes within the time of a reply.
func (t *tester) asks(frame []byte) (reply []byte, err error) {
	if err := t.line.SetReadTimeout(30 * time.Millisecond); err != nil {
		return nil, err
	}
	if _, err := t.line.Write(frame); err != nil {
		return nil, err
	}
	var buffer [64]byte
	for until := time.Now().Add(t.Wait / 2); time.Now().Before(until); {
		n, err := t.line.Read(buffer[:])
		if err != nil {
			return reply, err
		}
		if reply = append(reply, buffer[:n]...); n == 0 && len(reply) > 0 {
			break
		}
	}
	return reply, nil
}

// hears sends bytes and says whether anything comes back.
func (t *tester) hears(frame []byte) (bool, error) {
	reply, err := t.asks(frame)
	return len(reply) > 0, err
}

func (t *tester) badFrame() (Outcome, string) {
	before, err := t.read(0x003C, 1)
	if err != nil {
		return judge(err, "")
	}
	q := rtu.Request{Unit: t.Unit, Function: rtu.ReadHolding, ReadCount: 1}
	frame := q.Append(nil)
	frame[len(frame)-1] ^= 0x55
	answered, err := t.hears(frame)
	if err != nil || answered {
		return judge(err, "it was answered")
	}
	after, err := t.read(0x003C, 1)
	if err == nil && after[0]-before[0] != 1 {
		return Broken, fmt.Sprintf("counted %d times", after[0]-before[0])
	}
	return judge(err, "")
}

func (t *tester) otherUnit() (Outcome, string) {
	q := rtu.Request{Unit: t.Unit%247 + 1, Function: rtu.ReadHolding, ReadCount: 1}
	answered, err := t.hears(q.Append(nil))
	if answered {
		return Doubted, "something answered: another unit on the line?"
	}
	return judge(err, "")
}

func (t *tester) broadcast() (Outcome, string) {
	before, err := t.read(0x0010, 1)
	if err != nil {
		return judge(err, "")
	}
	q := rtu.Request{Unit: 0, Function: rtu.WriteOne, WriteAddress: 0x0010, Write: []uint16{before[0] + 77}}
	answered, err := t.hears(q.Append(nil))
	if err != nil || answered {
		return judge(err, "it was answered")
	}
	after, err := t.read(0x0010, 1)
	if err == nil && after[0] != before[0] {
		return Broken, "it was obeyed"
	}
	return judge(err, "")
}

func (t *tester) promptly() (Outcome, string) {
	longest := time.Duration(0)
	for range 20 {
		begun := time.Now()
		if _, err := t.read(0x0000, 1); err != nil {
			return judge(err, "")
		}
		// Eight characters there, seven back; what is left is the enclosure's and the adapter's.
		longest = max(longest, time.Since(begun)-15*t.Character)
	}
	words := fmt.Sprintf("the longest of 20 took %v beside the characters", longest.Round(100*time.Microsecond))
	switch {
	case t.Character == 0:
		return Doubted, words
	case longest > 40*time.Millisecond:
		return Broken, words
	case longest > 12*time.Millisecond:
		return Doubted, words + ": a USB adapter may wait for so long by itself"
	}
	return Kept, words
}

func (t *tester) clears() (Outcome, string) {
	if _, err := t.tick(0, 0, 0, 1<<3); err != nil {
		return judge(err, "")
	}
	m, err := t.tick(0, 0, 0, 0)
	if err == nil && m.Trips&(1<<3) != 0 {
		return Broken, "it still stands"
	}
	return judge(err, "")
}

var errNoPower = errors.New("drive power does not come on")
