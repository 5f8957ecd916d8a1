//go:build peers

package rig

import (
	"encoding/binary"
	"math"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// climate is the I2C sensor: it answers at address 44 as the SHT3x family's data
// sheet says (from memory), a bit at each look.
type climate struct {
	measured           [6]byte
	scl, sda           bool // as they were
	bit                int
	byte               byte
	reading, addressed bool
	at                 int // of what is read
	low                bool
	commands           []byte
	absent, bent       bool
}

// crcOf is the sensor's check: CRC-8, polynomial 31, from FF; the data sheet's example is BEEF, 92.
func crcOf(a, b byte) byte {
	crc := byte(0xFF)
	for _, v := range [2]byte{a, b} {
		crc ^= v
		for range 8 {
			if crc&0x80 != 0 {
				crc = crc<<1 ^ 0x31
			} else {
				crc <<= 1
			}
		}
	}
	return crc
}

func (c *climate) set(celsius, percent float64) {
	for i, v := range [2]float64{(celsius + 45) / 175, percent / 100} {
		raw := uint16(math.Round(v * 65535))
		c.measured[3*i], c.measured[3*i+1] = byte(raw>>8), byte(raw)
		c.measured[3*i+2] = crcOf(byte(raw>>8), byte(raw))
	}
}

func (c *climate) look(r *Rig) {
	scl, sda := !r.Low("SCL"), !r.Low("SDA") && !c.low
	switch {
	case c.scl && scl && c.sda && !sda: // start
		c.bit, c.byte, c.addressed, c.reading, c.at, c.low = 0, 0, false, false, 0, false
		c.commands = c.commands[:0]
	case !c.scl && scl && c.bit < 8: // a bit
		c.byte <<= 1
		if sda {
			c.byte |= 1
		}
		c.bit++
	case !c.scl && scl:
		c.bit++
	case c.scl && !scl && c.bit == 8:
		c.low = c.acknowledges()
	case c.scl && !scl && c.bit == 9:
		c.bit, c.byte, c.low = 0, 0, false
	}
	if c.scl && !scl && c.reading && c.addressed && c.bit < 8 {
		b := byte(0xFF)
		if c.at < len(c.measured) {
			b = c.measured[c.at]
		}
		if c.bent && c.at == 1 {
			b ^= 1
		}
		c.low = b>>(7-c.bit)&1 == 0
	}
	c.scl, c.sda = scl, !r.Low("SDA") && !c.low
	r.set(0, "SDA", !c.low)
}

func (c *climate) acknowledges() bool {
	switch {
	case !c.addressed:
		c.addressed, c.reading = c.byte>>1 == 0x44 && !c.absent, c.byte&1 == 1
		return c.addressed
	case c.reading:
		c.at++
		return false // the master's affair
	}
	c.commands = append(c.commands, c.byte)
	return true
}

// readings are registers 0040 to 005F.
func readings(t *testing.T, r *Rig) (registers [32]int16) {
	t.Helper()
	r.Sent, r.SentAt = nil, nil
	r.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x40, ReadCount: 32}).Append(nil))
	if !r.Until(200*time.Millisecond, func() bool { return len(r.Sent) == 69 }) {
		t.Fatal("no answer")
	}
	for i := range registers {
		registers[i] = int16(binary.BigEndian.Uint16(r.Sent[3+2*i:]))
	}
	return registers
}

// TestNoiseWhileSwitching: the noise is clean again 300 ms after the sequencer is back in receive, where it stays in
// its fault.
func TestNoiseWhileSwitching(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		r := New(t, body, stationWith(t, everything()))
		clean := func(after time.Duration, what string, want bool) {
			t.Helper()
			r.For(after)
			r.Sent, r.SentAt = nil, nil
			r.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x2F, ReadCount: 1}).Append(nil))
			if !r.Until(200*time.Millisecond, func() bool { return len(r.Sent) == 7 }) {
				t.Fatal("no answer")
			}
			if more := binary.BigEndian.Uint16(r.Sent[3:]); more&enclosure.MoreClean != 0 != want {
				t.Errorf("%s: %s: more state %04X, want clean %v", body, what, more, want)
			}
		}
		clean(time.Second, "in receive", true)
		for _, state := range [][2]bool{{true, false}, {false, true}} { // to transmit, and back
			r.Set(0, "SEQUENCER_0", !state[0])
			r.Set(0, "SEQUENCER_1", !state[1])
			clean(time.Second, "while it switches", false)
			r.Set(0, "SEQUENCER_0", true)
			r.Set(0, "SEQUENCER_1", true)
			clean(200*time.Millisecond, "too soon after", false)
			clean(200*time.Millisecond, "back in receive", true)
		}
		r.Set(0, "SEQUENCER_BAD", false)
		clean(time.Second, "with its fault", true)
	}
}

// TestReadings: voltages, pulses and the sensor's bits, and what the registers must read of them.
func TestReadings(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		t.Run(string(body), func(t *testing.T) {
			r := New(t, body, stationWith(t, everything()))
			sensor := climate{scl: true, sda: true}
			sensor.set(-12.3, 71.5)
			millis := 0
			r.Dish = func(r *Rig) {
				sensor.look(r)
				millis++
				r.set(0, "WIND", millis%100 >= 20) // 10 pulses a second
				// 50, with a bounce of a millisecond
				r.set(0, "FLOW", millis%20 >= 8 && (millis%20 != 12 || body == Native))
			}
			r.Set(0, "SEQUENCER_1", false)
			r.Analog(0, 2500+800) // 8 A of 50 over 5 V
			r.Analog(1, 2500-1200)
			for channel, mv := range map[int]uint16{2: 1250, 3: 3425, 4: 2500, 7: 2500, 8: 3400, 10: 2500, 11: 1250} {
				r.Analog(channel, mv)
			}
			r.For(6 * time.Second)
			got := readings(t, r)
			for _, row := range []struct {
				register int
				want     float64 // in the register's unit
				within   float64
			}{
				{0x40, 2740, 6}, {0x42, 1000, 3}, {0x48, 250, 4}, {0x49, 90, 5}, {0x4A, 2394, 1}, {0x59, 900, 5},
				{0x46, -123, 1}, {0x4B, 715, 1}, {0x4C, 67, 7}, {0x4D, 67, 7}, {0x54, 665, 27}, {0x57, 2, 0},
				{0x5B, 800, 6}, {0x5C, 1200, 6}, {0x41, 5000, 30}, {0x4E, -32768, 0}, {0x5A, -32768, 0},
				{0x5D, -32768, 0},
			} {
				if v := float64(got[row.register-0x40]); math.Abs(v-row.want) > row.within {
					t.Errorf("%04X reads %.0f, want %.0f within %.0f", row.register, v, row.want, row.within)
				}
			}
			d := &driven{Rig: r, t: t}
			for _, row := range []struct {
				register uint16
				want     int16
			}{{0x26, 800}, {0x27, -1200}} {
				if v := int16(d.register(row.register)); v < row.want-6 || v > row.want+6 {
					t.Errorf("%04X reads %d, want %d", row.register, v, row.want)
				}
			}
			if uv := int32(uint32(d.register(0x30))<<16 | uint32(d.register(0x31))); uv < 1245000 || uv > 1255000 {
				t.Errorf("the detector reads %d uV of 1250000", uv)
			}
			// A check that is wrong, then nobody there: the last values are kept for two turns, then none.
			sensor.bent = true
			r.For(2500 * time.Millisecond)
			sensor.bent, sensor.absent = false, true
			r.For(9 * time.Second)
			if got := readings(t, r); got[0x06] != -32768 || got[0x0B] != -32768 {
				t.Errorf("without the sensor air and humidity read %d and %d", got[0x06], got[0x0B])
			}
			if crcOf(0xBE, 0xEF) != 0x92 {
				t.Error("the sensor's check is another")
			}
		})
	}
}

// TestMarksLatch: the counts at which a mark is entered upwards, and nothing else.
func TestMarksLatch(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		r := New(t, body, stationWith(t, everything()))
		r.For(50 * time.Millisecond) // it has started
		place, by, entered := int32(0), int32(1), int32(0)
		r.Dish = func(r *Rig) {
			on := r.shown[0] >= 200 && r.shown[0] < 231
			if on && entered == 0 {
				entered = r.shown[0]
			}
			r.set(0, "AZ_MARK", !on)
			place += 3 * by // 3000 counts a second
			r.Turn(0, place)
		}
		d := &driven{Rig: r, t: t}
		r.For(120 * time.Millisecond) // up over it
		by = -1
		r.For(100 * time.Millisecond) // and back
		by = 0
		entries, latched := d.register(0x38), int16(d.register(0x37))
		if entries != 1 || int32(latched) != entered || entered < 200 {
			t.Errorf("%s: %d entries, the last at %d, not %d", body, entries, latched, entered)
		}
	}
}
