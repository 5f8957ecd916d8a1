// Package conform tries an enclosure against the page of registers, rule by
// rule, over an open line. Without Config.Move nothing can move: demands stay
// zero, and drive power stays off.
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

const (
	Kept     Outcome = iota
	Broken           // the enclosure does otherwise
	Doubted          // can't be told for sure from here
	NotTried         // Finding.Words say why
)

// String is the outcome in a word.
func (o Outcome) String() string { return [...]string{"kept", "BROKEN", "doubt", "not tried"}[o] }

// Finding is what came of a rule.
type Finding struct {
	// ID names the rule, for as long as the page of registers keeps its meaning.
	ID string
	// Rule is the rule in words.
	Rule    string
	Outcome Outcome
	// Words say what was seen, where that is worth saying.
	Words string
}

// Clock is the time in which a test lives.
type Clock interface {
	// Now is the time since any fixed moment.
	Now() time.Duration
	// Sleep lets time pass, less of it where the context ends.
	Sleep(context.Context, time.Duration)
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
	// Move lets the test switch drive power on, and drive each axis with at most MaxDrive.
	Move bool
	// Permit lets the test give the transmit permit for a few seconds at a time.
	Permit bool
	// Clock is the time of the line's read timeouts; nil: the machine's own.
	Clock Clock
}

// Duration is how long a test takes at most of an enclosure that keeps every
// rule, at 19200 baud, with a drive supply that comes up within half a second
// and a ramp of a second. A test checks it.
func (c Config) Duration() time.Duration {
	d := 25 * time.Second
	if c.Move || c.Permit {
		d += 25 * time.Second
	}
	if c.Move {
		d += 45 * time.Second
	}
	if c.Permit {
		d += 10 * time.Second
	}
	return d
}

// wallClock is the machine's time.
type wallClock struct{ began time.Time }

func (c wallClock) Now() time.Duration { return time.Since(c.began) }

func (c wallClock) Sleep(ctx context.Context, d time.Duration) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-ctx.Done():
	}
}

// Run tries all rules on an open line, and hands out each finding as it comes.
// At its end the enclosure has zero demands, and neither power nor permit; an
// error says so where that can't be confirmed. It ends early, with an error,
// where nothing answers any more, the enclosure has started again, or the context ends.
//
// The line's Read must return by its read timeout, in the time of Config.Clock.
func Run(ctx context.Context, line rtu.Line, c Config, found func(Finding)) (err error) {
	if c.Wait == 0 {
		c.Wait = 300 * time.Millisecond
	}
	if c.Clock == nil {
		c.Clock = wallClock{time.Now()}
	}
	t := &tester{Config: c, ctx: ctx, line: line, by: rtu.ReadWrite, broken: map[string]bool{}}
	t.master = rtu.NewMaster(line, c.Clock.Now)
	if err := t.begin(); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, t.end()) }()
	for _, r := range rules() {
		f := t.judge(r)
		if err := ctx.Err(); err != nil {
			return err
		}
		t.broken[r.id] = f.Outcome == Broken || t.rests(r) != ""
		found(f)
		if f.Outcome != Broken {
			continue
		}
		if err := t.stillThere(); err != nil {
			return err
		}
	}
	return t.stillThere()
}

// begin takes over: who it is, what it held before anything was written, and everything off.
func (t *tester) begin() error {
	for try := 0; ; try++ {
		registers, err := t.request(rtu.Request{Function: rtu.ReadHolding, ReadCount: enclosure.IdentityCount})
		if err == nil {
			t.identity, err = enclosure.DecodeIdentity(registers)
		}
		if err == nil {
			break
		}
		if try == 2 || t.ctx.Err() != nil {
			return fmt.Errorf("nothing answers as unit %d: %w", t.Unit, err)
		}
	}
	for _, block := range []struct {
		to      []uint16
		address uint16
	}{{t.written[:], enclosure.AddressDemand}, {t.moved[:], enclosure.AddressMotion}} {
		q := rtu.Request{Function: rtu.ReadHolding, ReadAddress: block.address, ReadCount: uint16(len(block.to))}
		registers, err := t.request(q)
		if err != nil {
			return fmt.Errorf("reading from %04X: %w", block.address, err)
		}
		copy(block.to, registers)
	}
	t.sequence = t.moved[1]
	// An enclosure without function 23, or with a poor one, is written to by 16.
	q := rtu.Request{Function: rtu.ReadWrite, ReadAddress: 0x0010, ReadCount: 1, WriteAddress: 0x0010,
		Write: []uint16{t.next()}}
	if got, err := t.request(q); err != nil || got[0] != t.sequence {
		t.by = rtu.WriteMany
	}
	_ = t.off() // whether that works is one of the rules
	return nil
}

// end leaves everything off, and the slow orders as they were found.
func (t *tester) end() error {
	t.period = enclosure.WatchdogAtStart
	err := t.off()
	if err == nil {
		_, err = t.request(t.writing(enclosure.AddressSlow, t.written[8]))
	}
	if err == nil {
		var registers []uint16
		registers, err = t.request(rtu.Request{Function: rtu.ReadHolding, ReadAddress: enclosure.AddressMotion,
			ReadCount: 16})
		if err == nil && registers[0]&enclosure.StatePower != 0 {
			err = errors.New("drive power is still on")
		}
		if err == nil && registers[15]&enclosure.MorePermitted != 0 {
			err = errors.New("the transmit permit is still given")
		}
	}
	if err != nil {
		return fmt.Errorf("that everything is off is not confirmed, see to it at the dish: %w", err)
	}
	return nil
}

// stillThere says why what was found may mean nothing.
func (t *tester) stillThere() error {
	var registers []uint16
	var err error
	for range 3 {
		if registers, err = t.request(reading(0x0004, 1)); err == nil {
			if registers[0] != t.identity.StartCounter {
				return fmt.Errorf("it started again meanwhile: 0004 went from %d to %d", t.identity.StartCounter,
					registers[0])
			}
			return nil
		}
	}
	return fmt.Errorf("it no longer answers: %w", err)
}

// judge tries one rule, from everything off to everything off. What a lost
// reply or a busy computer may have spoilt is tried once more.
func (t *tester) judge(r rule) Finding {
	f := Finding{ID: r.id, Rule: r.words, Outcome: NotTried, Words: t.prevented(r)}
	if f.Words != "" {
		return f
	}
	lost, overslept := t.lost(), t.overslept
	f.Outcome, f.Words = t.attempt(r)
	if f.Outcome != Broken || t.lost() == lost && t.overslept == overslept || t.ctx.Err() != nil {
		return f
	}
	first := f.Words
	overslept = t.overslept
	switch f.Outcome, f.Words = t.attempt(r); {
	case f.Outcome == Kept:
		f.Outcome, f.Words = Doubted, "only at the second try; at the first: "+first
	case f.Outcome == Broken && t.overslept != overslept:
		f.Outcome, f.Words = Doubted, "this computer is too busy to tell: "+f.Words
	}
	return f
}

// attempt tries a rule once.
func (t *tester) attempt(r rule) (outcome Outcome, words string) {
	t.period, t.words = enclosure.WatchdogAtStart, ""
	defer func() {
		switch e := recover().(type) {
		case nil:
			outcome, words = Kept, t.words
		case ended:
			outcome, words = e.outcome, e.words
		default:
			panic(e)
		}
		_ = t.off()
	}()
	r.try(t)
	return
}

// prevented says why a rule can't be tried, or nothing.
func (t *tester) prevented(r rule) string {
	switch {
	case r.needs == Hands:
		return "needs hands at the dish"
	case r.needs == Moving && !t.Move:
		return "only with -move"
	case r.needs == Permitting && !t.Permit:
		return "only with -permit"
	case r.needs == Either && !t.Move && !t.Permit:
		return "only with -permit or -move"
	}
	if id := t.rests(r); id != "" {
		return fmt.Sprintf("rests on a rule that is broken (%s)", id)
	}
	return ""
}

// rests names the rule whose break keeps another one from being told, or nothing.
func (t *tester) rests(r rule) string {
	for _, id := range r.after {
		if t.broken[id] {
			return id
		}
	}
	return ""
}
