package rig

import (
	"context"
	"io"
	"testing"
	"time"

	"beamhelm/drive/firmware"
)

// Rig is a body with a serial line and, where set, a dish. Its time passes only
// as it is used.
type Rig struct {
	*Process
	Station *firmware.Station
	// Dish is what the pins are wired to, called at each millisecond; nil: the pins are left alone.
	Dish func(*Rig)
	// Spoil, where set, changes each byte on its way to the enclosure or from it, or drops it by false.
	Spoil func(b byte, toEnclosure bool) (byte, bool)
	// Fine divides the millisecond into that many steps; 0 is one.
	Fine int
	// Undriven counts bytes sent while the transceiver was off.
	Undriven int
	// Sent and SentAt are the bytes that have been sent and when each began, in cycles.
	Sent   []byte
	SentAt []uint64

	body    Body
	now     uint64
	waiting []byte // bytes on their way to the enclosure
	free    uint64 // when the next of them may begin
	high    map[string]bool
	shown   [2]int32 // counts that the tracks show
}

// New returns a rig with all contacts as of a dish at rest: closed where that holds nothing back.
func New(t testing.TB, body Body, station *firmware.Station) *Rig {
	r := &Rig{Process: Start(t, body, station), Station: station, body: body, high: map[string]bool{}}
	for _, pin := range firmware.Pins() {
		if pin.Kind == firmware.Contact || pin.Kind == firmware.Track || pin.Kind == firmware.Wire {
			r.Set(0, pin.Name, !closedAtRest[pin.Name])
		}
	}
	for i := range 2 {
		r.Set(0, tracks[i][0], false)
		r.Set(0, tracks[i][1], false)
	}
	return r
}

// closedAtRest are the contacts that are closed while nothing is the matter and nothing is done.
var closedAtRest = map[string]bool{
	"AZ_FAULT": true, "EL_FAULT": true, "AZ_CLOCKWISE": true, "AZ_COUNTER": true, "EL_UPPER": true, "EL_LOWER": true,
	"STOP": true, "READY": true, "HAND": true, "DOOR": true,
}

var tracks = [2][2]string{{"AZ_A", "AZ_B"}, {"EL_A", "EL_B"}}

// Now is the time in cycles, the beginning of the next step.
func (r *Rig) Now() uint64 { return r.now }

// Set changes a pin that is driven from outside, some cycles into the next step.
func (r *Rig) Set(at uint32, name string, high bool) {
	if was, known := r.high[name]; !known || was != high {
		r.high[name] = high
		r.Pin(at, firmware.PinOf(name), high)
	}
}

// High is the level of an output, or of a pin driven from outside.
func (r *Rig) High(name string) bool {
	p := firmware.PinOf(name)
	if r.Seen.Output[p.Port-'A']>>p.Bit&1 != 0 {
		return r.Seen.Level[p.Port-'A']>>p.Bit&1 != 0
	}
	return r.high[name]
}

// Low says whether an open-drain pin is pulled low by the firmware.
func (r *Rig) Low(name string) bool {
	p := firmware.PinOf(name)
	return r.Seen.Output[p.Port-'A']>>p.Bit&1 != 0 && r.Seen.Level[p.Port-'A']>>p.Bit&1 == 0
}

// Character is the time of one on the line, in cycles. The emulated chip counts
// a parity bit where there is none.
func (r *Rig) Character() uint64 {
	bits := uint64(11)
	if r.body == Chip && r.Station.Values("parity")[0] == 0 {
		bits++
	}
	return bits * Hertz / uint64(r.Station.Values("baud")[0])
}

// Send puts bytes on the line to the enclosure.
func (r *Rig) Send(b []byte) {
	if r.free < r.now {
		r.free = r.now
	}
	r.waiting = append(r.waiting, b...)
}

// Run lets a millisecond pass.
func (r *Rig) Run() {
	if r.Dish != nil {
		r.Dish(r)
	}
	steps := max(1, r.Fine)
	for range steps {
		r.step(uint32(Millisecond / steps))
	}
}

func (r *Rig) step(cycles uint32) {
	for len(r.waiting) > 0 && r.free < r.now+uint64(cycles) {
		b, there := r.waiting[0], true
		if r.Spoil != nil {
			b, there = r.Spoil(b, true)
		}
		if there {
			r.insert(uint32(r.free-r.now), b)
		}
		r.waiting = r.waiting[1:]
		r.free += r.Character()
	}
	r.Step(cycles)
	r.now += uint64(cycles)
	for i := range int(r.Seen.Sent) {
		b, there := r.Seen.Bytes[i], true
		if r.Seen.Driven[i] == 0 {
			r.Undriven++
		}
		if r.Spoil != nil {
			b, there = r.Spoil(b, false)
		}
		if there {
			r.Sent, r.SentAt = append(r.Sent, b), append(r.SentAt, r.Seen.SentAt[i])
		}
	}
}

// insert puts a byte among the pins' changes, which are in order already.
func (r *Rig) insert(at uint32, b byte) {
	r.Byte(at, uint16(b))
	for i := len(r.events) - 1; i > 0 && r.events[i-1].At > at; i-- {
		r.events[i-1], r.events[i] = r.events[i], r.events[i-1]
	}
}

// For lets time pass, in whole milliseconds.
func (r *Rig) For(d time.Duration) {
	for range d.Milliseconds() {
		r.Run()
	}
}

// Until lets time pass until something holds, at most for d; false where it never did.
func (r *Rig) Until(d time.Duration, holds func() bool) bool {
	for range d.Milliseconds() {
		if holds() {
			return true
		}
		r.Run()
	}
	return holds()
}

// arrived are the bytes of the enclosure whose last bit has come.
func (r *Rig) arrived() []byte {
	n := 0
	for n < len(r.Sent) && r.SentAt[n]+r.Character() <= r.now {
		n++
	}
	return r.Sent[:n]
}

// took drops the first bytes of those.
func (r *Rig) took(n int) {
	r.Sent, r.SentAt = r.Sent[:copy(r.Sent, r.Sent[n:])], r.SentAt[:copy(r.SentAt, r.SentAt[n:])]
}

// Line is the panel's end of the line.
type Line struct {
	*Rig
	wait time.Duration
	// Cut: nothing gets through.
	Cut bool
}

// NewLine returns the panel's end, whose own time is the rig's.
func NewLine(r *Rig) *Line { return &Line{Rig: r} }

// Now is the line's time.
func (l *Line) Now() time.Duration {
	return time.Duration(l.now/Millisecond)*time.Millisecond + time.Duration(l.now%Millisecond)*time.Second/Hertz
}

// RunTo lets time pass.
func (l *Line) RunTo(to time.Duration) {
	for l.Now()+time.Millisecond <= to {
		l.Run()
	}
}

// Sleep lets time pass.
func (l *Line) Sleep(_ context.Context, d time.Duration) { l.RunTo(l.Now() + d) }

// SetReadTimeout sets how long Read waits.
func (l *Line) SetReadTimeout(d time.Duration) error {
	l.wait = d
	return nil
}

// Write sends a request.
func (l *Line) Write(p []byte) (int, error) {
	if !l.Cut {
		l.Send(p)
	}
	return len(p), nil
}

// Read waits for a byte, as long as was set.
func (l *Line) Read(p []byte) (int, error) {
	for end := l.Now() + l.wait; ; {
		n := copy(p, l.arrived())
		l.took(n)
		if l.Cut {
			n = 0
		}
		if n > 0 || l.Now() >= end {
			return n, nil
		}
		l.Run()
	}
}

// Close does nothing: the rig goes on.
func (l *Line) Close() error { return nil }

var _ io.ReadWriteCloser = (*Line)(nil)
