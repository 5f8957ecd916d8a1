// Package conform tries an enclosure against the page of registers, rule by
// rule, over an open line. Without Move nothing can move: demands stay zero,
// and drive power stays off.
package conform

import (
	"context"
	"errors"
	"fmt"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// Outcome of a rule.
type Outcome uint8

// The outcomes.
const (
	Kept    Outcome = iota
	Broken          // the enclosure does otherwise
	Doubted         // can't be told for sure from here
	LeftOut         // needs motion, or something that isn't fitted
)

// String is the outcome in a word.
func (o Outcome) String() string { return [...]string{"kept", "BROKEN", "doubt", "left out"}[o] }

// Finding is what came of a rule.
type Finding struct {
	Rule    string
	Outcome Outcome
	// Words say what was seen, where that is worth saying.
	Words string
}

// Config of a test.
type Config struct {
	// Unit of the enclosure, 1 to 247.
	Unit byte
	// Wait is how long a reply may take; 0: 300 ms.
	Wait time.Duration
	// Character is the time of one character on the line, for the time a reply
	// takes to begin; 0: it isn't judged.
	Character time.Duration
	// Move lets the test switch drive power on and turn each axis for half a second.
	Move bool
}

// tester is a test under way.
type tester struct {
	Config
	line     rtu.Line
	master   *rtu.Master
	began    time.Time
	sequence uint16
	identity enclosure.Identity
}

// rule is one rule: what it says, and how it is tried.
type rule struct {
	words string
	moves bool
	try   func(*tester) (Outcome, string)
}

// Run tries all rules on an open line, and hands each finding out as it comes.
// At its end the enclosure has zero demands, and neither power nor permit. It
// ends early, with an error, where nothing answers at all or the context ends.
func Run(ctx context.Context, line rtu.Line, c Config, found func(Finding)) error {
	if c.Wait == 0 {
		c.Wait = 300 * time.Millisecond
	}
	t := &tester{Config: c, line: line, began: time.Now()}
	t.master = rtu.NewMaster(line, func() time.Duration { return time.Since(t.began) })
	var err error
	for range 3 {
		if _, err = t.read(enclosure.AddressIdentity, 16); err == nil {
			break
		}
	}
	if err != nil {
		return fmt.Errorf("nothing answers as unit %d: %w", c.Unit, err)
	}
	if err := t.begin(); err != nil {
		return err
	}
	defer t.rest()
	for _, r := range rules() {
		if err := ctx.Err(); err != nil {
			return err
		}
		f := Finding{Rule: r.words, Outcome: LeftOut, Words: "only with -move"}
		if !r.moves || c.Move {
			f.Outcome, f.Words = r.try(t)
		}
		found(f)
	}
	return nil
}

// begin takes over: the identity, the sequence as it stands, and everything off.
func (t *tester) begin() error {
	registers, err := t.read(enclosure.AddressIdentity, 16)
	if err != nil {
		return err
	}
	if t.identity, err = enclosure.DecodeIdentity(registers); err != nil {
		return err
	}
	if registers, err = t.read(0x0021, 1); err != nil {
		return err
	}
	t.sequence = registers[0]
	_ = t.rest() // whether it works is one of the rules
	return nil
}

// rest lets everything be off.
func (t *tester) rest() error {
	_, err := t.tick(0, 0, 0, 0)
	return err
}

// exchange makes one exchange.
func (t *tester) exchange(q rtu.Request) ([]uint16, error) {
	q.Unit = t.Unit
	return t.master.Exchange(&q, time.Since(t.began)+t.Wait)
}

func (t *tester) read(address, count uint16) ([]uint16, error) {
	registers, err := t.exchange(rtu.Request{Function: rtu.ReadHolding, ReadAddress: address, ReadCount: count})
	return append([]uint16(nil), registers...), err
}

func (t *tester) write(address uint16, values ...uint16) error {
	_, err := t.exchange(rtu.Request{Function: rtu.WriteMany, WriteAddress: address, Write: values})
	return err
}

// next is a sequence that wasn't used just before.
func (t *tester) next() uint16 {
	if t.sequence++; t.sequence == 0 {
		t.sequence++
	}
	return t.sequence
}

// tick writes 0010 to 0015 and reads 0020 to 0035, as the panel does.
func (t *tester) tick(orders uint16, azimuth, elevation int16, clear uint16) (enclosure.Motion, error) {
	q := rtu.Request{
		Function: rtu.ReadWrite, ReadAddress: 0x0020, ReadCount: 22,
		WriteAddress: 0x0010, Write: []uint16{t.next(), orders, uint16(azimuth), uint16(elevation), 1000, clear},
		CheckSequence: true, SequenceAt: 1, Sequence: t.sequence,
	}
	registers, err := t.exchange(q)
	if err != nil {
		return enclosure.Motion{}, err
	}
	return enclosure.DecodeMotion(registers)
}

// refused judges whether a request was refused with the right exception.
func refused(err error, want rtu.Exception) (Outcome, string) {
	var got rtu.Exception
	switch {
	case err == nil:
		return Broken, "it was accepted"
	case !errors.As(err, &got):
		return Broken, err.Error()
	case got != want:
		return Broken, fmt.Sprintf("exception %02d, not %02d", byte(got), byte(want))
	}
	return Kept, ""
}

// judge is kept where nothing is wrong.
func judge(err error, wrong string) (Outcome, string) {
	switch {
	case err != nil:
		return Broken, err.Error()
	case wrong != "":
		return Broken, wrong
	}
	return Kept, ""
}
