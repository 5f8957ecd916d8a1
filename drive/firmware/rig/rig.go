// Package rig lets the enclosure's firmware run in tests: on an emulated chip
// or, its core alone, as a process of this computer, with a serial line and a
// dish around it, in virtual time. Nothing but tests may use it: the emulator
// falls under another licence than the program.
package rig

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"

	"beamhelm/drive/firmware"
)

// Hertz of the chip's clock.
const Hertz = 16_000_000

// Millisecond in cycles.
const Millisecond = Hertz / 1000

// Body is what the firmware runs in.
type Body string

const (
	Chip   Body = "chip"   // the emulated chip, with the image
	Native Body = "native" // the core alone
)

// What is asked of a body, as in body.h.
const (
	orderStep = 1 + iota
	orderReset
	orderKeep
	orderKept
	orderFill
	orderHang
	orderPaint
	orderMeasured
)

const (
	protocol   = 1
	ports      = 12
	maxSent    = 64
	vectors    = 57
	eepromSize = 4096
)

// Seen is what the outside sees of a body after a step.
type Seen struct {
	Cycle, Slept                               uint64
	Version, State, Resets, Overrun, Character uint32
	// Duty in cycles of a Period.
	Duty         [2]uint16
	Period, Sent uint16
	// Level of pins that are outputs, and Output: which those are.
	Level, Output [ports]byte
	Bytes, Driven [maxSent]byte
	_             uint32
	SentAt        [maxSent]uint64
	Released      uint64
}

// Vector is what an interrupt has cost, in cycles; Waited is the longest from raised to begun.
type Vector struct{ Longest, Total, Count, Waited uint64 }

// Measured is what a chip has measured of its program.
type Measured struct {
	Vector [vectors]Vector
	Stack  uint32
	_      uint32
}

type event struct {
	At              uint32
	Kind, Port, Bit uint8
	_               uint8
	Value           uint16
	_               uint16
}

// Process is a body that runs. It belongs to one goroutine, and fails its test by itself.
type Process struct {
	t       testing.TB
	command *exec.Cmd
	in      io.WriteCloser
	out     io.Reader
	// Seen after the last step.
	Seen       Seen
	events     []event
	millivolts [16]uint16
	extra      []byte // what follows the next answer
	message    bytes.Buffer
	answer     [880]byte
}

// Start starts a body with a station's image.
func Start(t testing.TB, body Body, station *firmware.Station) *Process {
	t.Helper()
	image, err := firmware.Image(station)
	if err != nil {
		t.Fatal(err)
	}
	return start(t, body, image)
}

func start(t testing.TB, body Body, image []byte) *Process {
	t.Helper()
	name := filepath.Join(t.TempDir(), "enclosure.hex")
	if err := os.WriteFile(name, image, 0o600); err != nil {
		t.Fatal(err)
	}
	p := &Process{t: t, command: exec.Command(built(t, body), name)}
	p.command.Stderr = os.Stderr
	var err error
	if p.in, err = p.command.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if p.out, err = p.command.StdoutPipe(); err != nil {
		t.Fatal(err)
	}
	if err := p.command.Start(); err != nil {
		t.Fatal(err)
	}
	if n := binary.Size(p.Seen); n > len(p.answer) {
		t.Fatalf("an answer has %d bytes", n)
	}
	t.Cleanup(p.Stop)
	return p
}

// Stop ends the process.
func (p *Process) Stop() {
	if p.in != nil {
		_ = p.in.Close()
		_ = p.command.Wait()
		p.in = nil
	}
}

// Used is the processor time that the process took; after Stop.
func (p *Process) Used() time.Duration {
	return p.command.ProcessState.UserTime() + p.command.ProcessState.SystemTime()
}

// Pin changes a pin that is driven from outside, some cycles into the next
// step; changes must be given in their order.
func (p *Process) Pin(at uint32, pin firmware.Pin, high bool) {
	e := event{At: at, Port: pin.Port - 'A', Bit: uint8(pin.Bit)}
	if high {
		e.Value = 1
	}
	p.events = append(p.events, e)
}

// Byte begins to arrive; 0x4000 beside it: with wrong parity, 0x8000: with a wrong stop bit.
func (p *Process) Byte(at uint32, b uint16) {
	p.events = append(p.events, event{At: at, Kind: 1, Value: b})
}

// Analog sets the voltage of an input from now on.
func (p *Process) Analog(channel int, millivolts uint16) { p.millivolts[channel] = millivolts }

// Step lets cycles pass; what is to happen later stays for the next steps.
func (p *Process) Step(cycles uint32) {
	p.ask(orderStep, cycles)
	if p.Seen.State != 0 {
		p.t.Helper()
		p.t.Fatalf("the chip has stopped, state %d at cycle %d", p.Seen.State, p.Seen.Cycle)
	}
}

// Reset restarts the chip from outside: 1 power, 2 pin, 4 brown-out.
func (p *Process) Reset(cause uint32) { p.ask(orderReset, cause) }

// Fill fills the RAM from a seed, as a start finds it.
func (p *Process) Fill(seed uint32) { p.ask(orderFill, seed) }

// Hang lets the program go round in one place, with or without interrupts.
func (p *Process) Hang(interrupts bool) {
	how := uint32(2)
	if interrupts {
		how = 1
	}
	p.ask(orderHang, how)
}

// Keep sets what is kept without power, Kept returns it.
func (p *Process) Keep(eeprom []byte) {
	p.extra = append(eeprom[:len(eeprom):len(eeprom)], make([]byte, eepromSize-len(eeprom))...)
	p.ask(orderKeep, 0)
}

// Kept is what is kept without power.
func (p *Process) Kept() []byte {
	p.ask(orderKept, 0)
	kept := make([]byte, eepromSize)
	p.read(kept)
	return kept
}

// Paint begins to measure, Measured ends it.
func (p *Process) Paint() { p.ask(orderPaint, 0) }

// Measured is what the interrupts and the stack have come to since Paint.
func (p *Process) Measured() (m Measured) {
	p.ask(orderMeasured, 0)
	all := make([]byte, binary.Size(m))
	p.read(all)
	if _, err := binary.Decode(all, binary.LittleEndian, &m); err != nil {
		p.t.Fatal(err)
	}
	return m
}

func (p *Process) ask(order, value uint32) {
	p.t.Helper()
	p.message.Reset()
	all := p.message.AvailableBuffer()
	all = binary.LittleEndian.AppendUint32(all, order)
	all = binary.LittleEndian.AppendUint32(all, value)
	events := p.events
	switch later := slices.IndexFunc(events, func(e event) bool { return e.At >= value }); {
	case order != orderStep:
		events = nil
	case later >= 0:
		events = events[:later]
	}
	all = binary.LittleEndian.AppendUint32(all, uint32(len(events)))
	for _, v := range p.millivolts {
		all = binary.LittleEndian.AppendUint16(all, v)
	}
	for _, e := range events {
		all = binary.LittleEndian.AppendUint32(all, e.At)
		all = append(all, e.Kind, e.Port, e.Bit, 0)
		all = binary.LittleEndian.AppendUint32(all, uint32(e.Value))
	}
	all = append(all, p.extra...)
	p.extra = p.extra[:0]
	if order == orderStep {
		p.events = p.events[:copy(p.events, p.events[len(events):])]
		for i := range p.events {
			p.events[i].At -= value
		}
	}
	if _, err := p.in.Write(all); err != nil {
		p.t.Fatalf("the firmware's process: %v", err)
	}
	size := binary.Size(p.Seen)
	p.read(p.answer[:size])
	p.see(p.answer[:size])
	if p.Seen.Version != protocol {
		p.t.Fatalf("a body of version %d", p.Seen.Version)
	}
}

func (p *Process) read(to []byte) {
	p.t.Helper()
	if _, err := io.ReadFull(p.out, to); err != nil {
		p.t.Fatalf("the firmware's process: %v", err)
	}
}

// see decodes an answer by hand: it comes a thousand times a second.
func (p *Process) see(b []byte) {
	u16, u32, u64 := binary.LittleEndian.Uint16, binary.LittleEndian.Uint32, binary.LittleEndian.Uint64
	s := &p.Seen
	s.Cycle, s.Slept = u64(b), u64(b[8:])
	s.Version, s.State, s.Resets, s.Overrun, s.Character = u32(b[16:]), u32(b[20:]), u32(b[24:]), u32(b[28:]),
		u32(b[32:])
	s.Duty, s.Period, s.Sent = [2]uint16{u16(b[36:]), u16(b[38:])}, u16(b[40:]), u16(b[42:])
	copy(s.Level[:], b[44:])
	copy(s.Output[:], b[44+ports:])
	b = b[44+2*ports:]
	copy(s.Bytes[:], b)
	copy(s.Driven[:], b[maxSent:])
	// The 64-bit fields begin at a multiple of eight.
	b = b[2*maxSent+4:]
	for i := range int(s.Sent) {
		s.SentAt[i] = u64(b[8*i:])
	}
	s.Released = u64(b[8*maxSent:])
}

// building is held while a body is looked for and compiled.
var building sync.Mutex

// built compiles a body from its sources, once for each state of them.
func built(t testing.TB, body Body) string {
	t.Helper()
	building.Lock()
	defer building.Unlock()
	_, here, _, _ := runtime.Caller(0)
	root := filepath.Dir(filepath.Dir(here))
	sources := []string{filepath.Join(root, "body", string(body)+".c"), filepath.Join(root, "body", "pipe.c")}
	arguments := []string{"-std=gnu99", "-O2"}
	if body == Native {
		core, err := filepath.Glob(filepath.Join(root, "core", "*.c"))
		if err != nil || len(core) == 0 {
			t.Fatalf("the core's sources: %v", err)
		}
		sources = append(sources, core...)
	}
	sum := sha256.New()
	for _, pattern := range []string{"body/*", "core/*", "mega2560/*"} {
		names, _ := filepath.Glob(filepath.Join(root, pattern))
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			sum.Write(text)
		}
	}
	folder := filepath.Join(os.TempDir(), fmt.Sprintf("beamhelm-firmware-%d", os.Getuid()))
	if err := os.MkdirAll(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(folder, fmt.Sprintf("%s-%x", body, sum.Sum(nil)[:8]))
	if _, err := os.Stat(name); err == nil {
		return name
	}
	unfinished := fmt.Sprintf("%s.%d", name, os.Getpid())
	arguments = append(arguments, sources...)
	arguments = append(arguments, "-o", unfinished)
	if body == Chip {
		arguments = append(arguments, "-lsimavr")
	}
	if words, err := exec.Command("gcc", arguments...).CombinedOutput(); err != nil {
		t.Fatalf("compiling the firmware's body: %v\n%s", err, words)
	}
	if err := os.Rename(unfinished, name); err != nil {
		t.Fatal(err)
	}
	return name
}
