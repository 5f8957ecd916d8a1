package link

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/badcable"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
)

// logged is an enclosure that keeps what it has said, by sequence.
type logged struct {
	*serve.Slave
	said map[uint16][]byte
}

func (l *logged) Said() {
	if p, _, ok := l.Slave.Say(); ok && p[1] == 23 && len(p) == 5+2*enclosure.MotionCount {
		l.said[uint16(p[5])<<8|uint16(p[6])] = bytes.Clone(p)
	}
	l.Slave.Said()
}

// spoilt is a cable on which one byte in a hundred is spoilt, one reply in ten
// 60 ms late and one in five doubled.
func spoilt(seed uint64) badcable.Config {
	c := badcable.Default()
	c.Seed, c.SpoiltBytes, c.LateReplies, c.LateBy, c.DoubledReplies = seed, 0.01, 0.1, 60*ms, 0.2
	return c
}

// TestBadCable: in 100,000 exchanges over a spoilt line no reply counts that
// the enclosure has not given to that very request.
func TestBadCable(t *testing.T) {
	for seed := range uint64(4) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			t.Parallel()
			throughBadCable(t, seed, 25_000)
		})
	}
}

func throughBadCable(t *testing.T, seed uint64, exchanges int) {
	clean := badcable.Default()
	clean.Seed = seed
	b := newBench(t, clean, nil)
	l := &logged{Slave: b.slave, said: map[uint16][]byte{}}
	var err error
	if b.line, err = badcable.NewLine(l, clean); err != nil {
		t.Fatal(err)
	}
	b.Memory = NewMemory(b.line, 1)
	b.ask(drive.AskMotion, enclosure.Demand{})
	if err := b.line.Spoil(spoilt(seed)); err != nil {
		t.Fatal(err)
	}
	good, longest, bad := 0, 0, 0
	for i := range exchanges {
		began := max(b.next+b.tick, b.line.Now())
		r := b.ask(drive.AskMotion, enclosure.Demand{Az: int16(i % 100)})
		if late := b.line.Now() - began - b.tick*9/10; late > time.Millisecond {
			t.Fatalf("exchange %d ended %v after its deadline", i, late)
		}
		if r.Err != nil {
			bad++
			longest = max(longest, bad)
			continue
		}
		good, bad = good+1, 0
		if r.Motion.Sequence != b.session.sequence {
			t.Fatalf("exchange %d: asked with sequence %d, the reply that counts has %d", i, b.session.sequence,
				r.Motion.Sequence)
		}
		b.line.RunTo(b.line.Now()) // what has been said by now is in the log
		var registers [enclosure.MotionCount]uint16
		r.Motion.Encode(&registers)
		p, known := l.said[r.Motion.Sequence]
		for k, v := range registers {
			if !known || uint16(p[3+2*k])<<8|uint16(p[4+2*k]) != v {
				t.Fatalf("exchange %d: the reply to sequence %d was not given: %+v", i, r.Motion.Sequence, r.Motion)
			}
		}
	}
	t.Logf("%d of %d exchanges good, at most %d bad in a row, %+v", good, exchanges, longest, b.Status().Quiet)
	if good < exchanges/5 {
		t.Errorf("only %d of %d exchanges were good", good, exchanges)
	}
}

// TestBackToBack: with no turnaround exchanges one after the other reach 0.9 of
// what the wire itself would carry.
func TestBackToBack(t *testing.T) {
	b := met(t, badcable.Default(), nil)
	b.ask(drive.AskMotion, enclosure.Demand{})
	began, n := b.line.Now(), 0
	for ; b.line.Now() < began+time.Minute; n++ {
		now := b.line.Now()
		if r := b.Exchange(drive.Request{Ask: drive.AskMotion, Demand: enclosure.Demand{WatchdogMillis: 1000}, At: now,
			Deadline: now + time.Second}); r.Err != nil {
			t.Fatal(r.Err)
		}
	}
	wire := 19200.0 / 11 / (25 + 49)
	rate := float64(n) / (b.line.Now() - began).Seconds()
	t.Logf("%.2f exchanges a second, the wire's limit is %.2f", rate, wire)
	if rate < 0.9*wire {
		t.Errorf("%.2f exchanges a second, want 0.9 of the wire's %.2f", rate, wire)
	}
}
