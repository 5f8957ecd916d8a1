//go:build peers

package rig

import (
	"encoding/binary"
	"testing"
	"time"

	"beamhelm/drive/rtu"
)

// hurry keeps the line as busy as it can be and both encoders at a speed, and
// returns the longest time from a request to its reply, in cycles.
func hurry(t *testing.T, r *Rig, countsPerSecond float64, d time.Duration, each func()) (longest uint64,
	exchanges int) {
	requests := [][]byte{
		(&rtu.Request{Unit: 1, Function: rtu.ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10,
			Write: []uint16{1, 0, 0, 0, 1000, 8}}).Append(nil),
		(&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadCount: 0x60}).Append(nil),
		(&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x40, ReadCount: 8}).Append(nil),
	}
	lengths := []int{49, 197, 21}
	place := [2]float64{}
	asked, want := uint64(0), 0
	r.Dish = func(r *Rig) {
		for i := range place {
			place[i] += countsPerSecond / 1000 * float64(1-2*i)
			r.Turn(i, int32(place[i]))
		}
	}
	for range d.Milliseconds() {
		if asked == 0 {
			frame := requests[exchanges%3]
			r.Sent, r.SentAt = r.Sent[:0], r.SentAt[:0]
			r.Send(frame)
			asked, want = r.free+uint64(len(frame))*r.Character(), lengths[exchanges%3]
		}
		r.Run()
		if each != nil {
			each()
		}
		switch {
		case len(r.Sent) >= want:
			longest = max(longest, r.SentAt[0]-asked)
			exchanges++
			asked = 0
		case r.now > asked && r.now-asked > 60*Millisecond:
			t.Fatalf("exchange %d: %d bytes of %d", exchanges, len(r.Sent), want)
		}
	}
	return longest, exchanges
}

// counts reads both axes' counts and impossible transitions.
func counts(t *testing.T, r *Rig) (counts [2]int32, impossible [2]uint16) {
	r.Dish = nil
	r.For(80 * time.Millisecond)
	r.Sent, r.SentAt = nil, nil
	r.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x20, ReadCount: 22}).Append(nil))
	if !r.Until(100*time.Millisecond, func() bool { return len(r.Sent) == 49 }) {
		t.Fatal("no answer")
	}
	word := func(register int) uint16 { return binary.BigEndian.Uint16(r.Sent[3+2*(register-0x20):]) }
	for i := range counts {
		counts[i] = int32(uint32(word(0x22+2*i))<<16 | uint32(word(0x23+2*i)))
		impossible[i] = word(0x33 + i)
	}
	return counts, impossible
}

// The vectors that are measured.
const (
	vectorTick     = 13
	vectorSampling = 20
	vectorADC      = 29
	vectorReceived = 51
	vectorEmpty    = 52
	vectorSent     = 53
)

// freeRAM is what the variables leave of 8 KB to the stack, by the kept figures of the build.
const freeRAM = 8192 - 2004

// TestNoEdgeIsLost: 3000 counts a second on both axes at 115200 baud, with the
// line busy all the time and the RAM as random as a real one's at its start.
func TestNoEdgeIsLost(t *testing.T) {
	t.Parallel()
	r := New(t, Chip, stationWith(t, everything()))
	r.Fill(22)
	r.For(50 * time.Millisecond)
	r.Paint()
	slept, cycle := r.Seen.Slept, r.Seen.Cycle
	longest, exchanges := hurry(t, r, 3000, 10*time.Second, nil)
	asleep := float64(r.Seen.Slept-slept) / float64(r.Seen.Cycle-cycle)
	m := r.Measured()
	got, impossible := counts(t, r)
	if got != r.shown || impossible != [2]uint16{} {
		t.Errorf("counts %d, shown %d, impossible %d", got, r.shown, impossible)
	}
	t.Logf("%d counts on each axis in 10 s, none lost; %d exchanges a second, replies at most %.2f ms after the "+
		"request; the chip sleeps %.0f %% of the time",
		got[0], exchanges/10, milliseconds(longest), 100*asleep)
	for _, v := range []struct {
		number int
		name   string
	}{{vectorSampling, "sampling"}, {vectorADC, "converter"}, {vectorReceived, "received"}, {vectorEmpty, "next byte"},
		{vectorSent, "all sent"}, {vectorTick, "tick"}} {
		x := m.Vector[v.number]
		t.Logf("%-10s longest %3d cycles, mean %3d, %6d of them; begun at most %d cycles late", v.name, x.Longest,
			x.Total/max(1, x.Count), x.Count, x.Waited)
	}
	t.Logf("stack %d bytes of %d free", m.Stack, freeRAM)
	if milliseconds(longest) > 10 {
		t.Errorf("a reply begins after %.2f ms", milliseconds(longest))
	}
	// A character at 115200 baud takes 1528 cycles, and the receiver holds two more.
	if waited := m.Vector[vectorReceived].Waited; waited > 1000 {
		t.Errorf("a received byte waits for %d cycles", waited)
	}
	// A period of the sampling is 800.
	if waited := m.Vector[vectorSampling].Waited; waited > 600 {
		t.Errorf("the sampling waits for %d cycles", waited)
	}
	if m.Stack > freeRAM/4 {
		t.Errorf("the stack takes %d bytes, at most %d", m.Stack, freeRAM/4)
	}
	if r.Seen.Resets+r.Seen.Overrun > 0 || r.Undriven > 0 {
		t.Errorf("%d restarts, %d bytes overrun, %d sent with the transceiver off", r.Seen.Resets, r.Seen.Overrun,
			r.Undriven)
	}
}

// TestChatterHoldsNothingUp: a track of azimuth that chatters with 200,000 edges
// a second holds up neither the line nor the other axis.
func TestChatterHoldsNothingUp(t *testing.T) {
	t.Parallel()
	r := New(t, Chip, stationWith(t, everything()))
	r.For(50 * time.Millisecond)
	longest, exchanges := hurry(t, r, 3000, 3*time.Second, r.Chatter)
	got, _ := counts(t, r)
	t.Logf("%d exchanges, replies at most %.2f ms after the request; elevation %d counts, shown %d; %d restarts",
		exchanges, milliseconds(longest), got[1], r.shown[1], r.Seen.Resets)
	if got[1] != r.shown[1] || r.Seen.Resets > 0 || r.Seen.Overrun > 0 || milliseconds(longest) > 10 {
		t.Error("the chatter is felt")
	}
}

// TestSameFromAnyRAM: whatever the RAM holds at a start, the same comes of it.
func TestSameFromAnyRAM(t *testing.T) {
	t.Parallel()
	var first []byte
	for seed := uint32(0); seed < 4; seed++ {
		r := New(t, Chip, stationWith(t, everything()))
		if seed > 0 {
			r.Fill(seed)
		}
		r.For(50 * time.Millisecond)
		var all []byte
		for range 5 {
			r.Sent, r.SentAt = nil, nil
			r.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadCount: 0x60}).Append(nil))
			r.For(60 * time.Millisecond)
			all = append(all, r.Sent...)
		}
		if len(all) != 5*197 {
			t.Fatalf("%d bytes", len(all))
		}
		if first == nil {
			first = all
		}
		if string(all) != string(first) {
			t.Errorf("RAM of seed %d: another answer", seed)
		}
	}
}
