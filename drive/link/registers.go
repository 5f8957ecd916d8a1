package link

import (
	"errors"
	"fmt"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// Registers are the registers of an enclosure as they were last read or
// written, as they are on the line.
type Registers struct {
	Words [enclosure.RegisterCount]uint16
	// Known says which were read, or written and accepted, at all.
	Known [enclosure.RegisterCount]bool
}

// keep takes in registers from an address on.
func (r *Registers) keep(address int, words []uint16) {
	for i, w := range words {
		if at := address + i; at >= 0 && at < len(r.Words) {
			r.Words[at], r.Known[at] = w, true
		}
	}
}

// Identity is what the identity's registers say; false where they were not read.
func (r *Registers) Identity() (d enclosure.Identity, known bool) {
	d, err := enclosure.DecodeIdentity(
		r.Words[enclosure.AddressIdentity : enclosure.AddressIdentity+enclosure.IdentityCount])
	return d, err == nil && r.Known[enclosure.AddressIdentity]
}

// looks are the blocks that Look reads.
func looks() [3][2]uint16 {
	return [3][2]uint16{{enclosure.AddressIdentity, 0x20}, {enclosure.AddressMotion, 0x20},
		{enclosure.AddressReadings, 0x20}}
}

// lookFor is how long one of them may take: the slowest line needs 90 ms.
const lookFor = 500 * time.Millisecond

// Look opens a line, reads every register once with function 3 and closes it.
// It writes nothing. A block that can't be read is left unknown; where no block
// can, the error says why.
func Look(open Opener, unit byte) (r Registers, err error) {
	line, err := open()
	if err != nil {
		return r, err
	}
	begun := time.Now()
	now := func() time.Duration { return time.Since(begun) }
	master := rtu.NewMaster(line, now)
	read := 0
	for _, block := range looks() {
		q := rtu.Request{Unit: unit, Function: rtu.ReadHolding, ReadAddress: block[0], ReadCount: block[1]}
		words, wrong := master.Exchange(&q, now()+lookFor)
		if wrong != nil {
			err = errors.Join(err, fmt.Errorf("registers %04X on: %w", block[0], wrong))
			continue
		}
		r.keep(int(block[0]), words)
		read++
	}
	if closing := line.Close(); err == nil || read > 0 {
		err = closing
	}
	return r, err
}

// Registers are those of the enclosure as they were last read or written.
func (p *Port) Registers() Registers {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.registers
}
