package rig

import (
	"bytes"
	"io"
	"testing"

	"beamhelm/drive/replica/serve"
)

// Loader stands in for a board's boot loader at the other end of a
// pseudo-terminal. Frames and commands: AVR068, STK500 Communication Protocol
// (Atmel, 2006), version 2.
type Loader struct {
	// Flash of the chip, its Signature (zero: that of an ATmega2560), and how many Pages were written.
	Flash     []byte
	Signature [3]byte
	Pages     int
	// After, where not 0, is after how many pages it answers no more.
	After int
	// Bent changes a byte as it is read back.
	Bent bool
	// At, where set, is called as each page comes, AtRead as each is read.
	At     func(page int)
	AtRead func(address int)

	address int
}

const (
	commandSignOn       = 0x01
	commandGetParameter = 0x03
	commandLoadAddress  = 0x06
	commandProgram      = 0x13
	commandRead         = 0x14
	commandReadFuse     = 0x18
	commandReadLock     = 0x19
	commandReadOSCCAL   = 0x1A
	commandSignature    = 0x1B
	commandSPI          = 0x1D
)

// Open opens its port, until the test ends.
func (l *Loader) Open(t testing.TB) (port string) {
	t.Helper()
	l.Flash = bytes.Repeat([]byte{0xFF}, 1<<18)
	if l.Signature == [3]byte{} {
		l.Signature = [3]byte{0x1E, 0x98, 0x01}
	}
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { defer close(ended); l.run(terminal) }()
	t.Cleanup(func() {
		_ = terminal.Close() // nothing is left to be written
		<-ended
	})
	return terminal.Path
}

// answer is the reply to a command, nil for silence.
func (l *Loader) answer(body []byte) []byte {
	reply := []byte{body[0], 0}
	switch body[0] {
	case commandSignOn:
		return append(reply, "\x08AVRISP_2"...)
	case commandGetParameter:
		return append(reply, 2)
	case commandLoadAddress:
		l.address = 2 * (int(body[1]&0x7F)<<24 | int(body[2])<<16 | int(body[3])<<8 | int(body[4]))
	case commandProgram:
		if l.Pages++; l.After > 0 && l.Pages > l.After {
			return nil
		}
		if l.At != nil {
			l.At(l.Pages)
		}
		n := int(body[1])<<8 | int(body[2])
		copy(l.Flash[l.address:], body[10:10+n])
		l.address += n
	case commandRead:
		if l.AtRead != nil {
			l.AtRead(l.address)
		}
		n := int(body[1])<<8 | int(body[2])
		page := bytes.Clone(l.Flash[l.address:][:n])
		if l.Bent && l.address == 0x400 {
			page[7] ^= 0x10
		}
		l.address += n
		return append(append(reply, page...), 0)
	case commandSignature:
		return append(reply, l.Signature[body[4]], 0)
	case commandReadFuse, commandReadLock, commandReadOSCCAL:
		return append(reply, 0xFF, 0)
	case commandSPI:
		q := body[4:8]
		answer := []byte{0, q[0], q[1], 0}
		if q[0] == 0x30 {
			answer[3] = l.Signature[q[2]&3]
		}
		return append(append(reply, answer[:body[1]]...), 0)
	}
	return reply
}

// run answers until the line is closed.
func (l *Loader) run(line io.ReadWriter) {
	head := make([]byte, 5)
	for {
		if _, err := io.ReadFull(line, head[:1]); err != nil {
			return
		}
		if head[0] != 0x1B {
			continue
		}
		if _, err := io.ReadFull(line, head[1:]); err != nil {
			return
		}
		body := make([]byte, int(head[2])<<8|int(head[3])+1) // and the checksum
		if _, err := io.ReadFull(line, body); err != nil {
			return
		}
		reply := l.answer(body[:len(body)-1])
		if reply == nil {
			continue
		}
		frame := append([]byte{0x1B, head[1], byte(len(reply) >> 8), byte(len(reply)), 0x0E}, reply...)
		sum := byte(0)
		for _, b := range frame {
			sum ^= b
		}
		if _, err := line.Write(append(frame, sum)); err != nil {
			return
		}
	}
}
