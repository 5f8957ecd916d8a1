// Package rtu speaks MODBUS RTU: frames and their checks, a master for one
// exchange at a time, and the framing of a slave.
//
// Sources: MODBUS Application Protocol V1.1b3 for the functions, MODBUS over
// Serial Line V1.02 for frames, CRC and times.
package rtu

import (
	"encoding/binary"
	"time"
)

// Function of a request.
type Function byte

const (
	ReadHolding Function = 3
	ReadInput   Function = 4
	WriteOne    Function = 6
	WriteMany   Function = 16
	ReadWrite   Function = 23 // the write comes first
)

const (
	// MaxFrame is the greatest length of a frame.
	MaxFrame = 256
	// The standard's greatest quantities of registers.
	MaxRead           = 125
	MaxWrite          = 123
	MaxReadWriteRead  = 125
	MaxReadWriteWrite = 121

	exceptionBit    = 0x80
	exceptionLength = 5
	echoLength      = 8 // reply to 06 and 16
)

// remainders of the CRC for each half byte.
var remainders = [16]uint16{
	0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401,
	0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400,
}

// CRC is the check of a frame: reflected polynomial A001, from FFFF. It is sent low byte first.
func CRC(frame []byte) uint16 {
	crc := uint16(0xFFFF)
	for _, b := range frame {
		crc ^= uint16(b)
		crc = crc>>4 ^ remainders[crc&15]
		crc = crc>>4 ^ remainders[crc&15]
	}
	return crc
}

// AppendCRC appends the CRC of what dst holds from start on.
func AppendCRC(dst []byte, start int) []byte {
	return binary.LittleEndian.AppendUint16(dst, CRC(dst[start:]))
}

// CRCValid says whether a frame ends with its CRC.
func CRCValid(frame []byte) bool {
	n := len(frame) - 2
	return n >= 2 && CRC(frame[:n]) == binary.LittleEndian.Uint16(frame[n:])
}

// Request is one request of a master.
type Request struct {
	Unit     byte
	Function Function
	// ReadAddress and ReadCount, of 03, 04 and 23.
	ReadAddress, ReadCount uint16
	// WriteAddress and Write, of 06 (one register), 16 and 23.
	WriteAddress uint16
	Write        []uint16
	// CheckSequence: a reply counts only where its register SequenceAt holds Sequence.
	CheckSequence bool
	SequenceAt    int
	Sequence      uint16
	// NotAfter, where it isn't zero, is when the request is too old to be sent.
	NotAfter time.Duration
}

// Append appends the frame of the request.
func (q *Request) Append(dst []byte) []byte {
	start := len(dst)
	dst = append(dst, q.Unit, byte(q.Function))
	switch q.Function {
	case ReadHolding, ReadInput:
		dst = binary.BigEndian.AppendUint16(dst, q.ReadAddress)
		dst = binary.BigEndian.AppendUint16(dst, q.ReadCount)
	case WriteOne:
		dst = binary.BigEndian.AppendUint16(dst, q.WriteAddress)
		dst = binary.BigEndian.AppendUint16(dst, q.Write[0])
	case ReadWrite:
		dst = binary.BigEndian.AppendUint16(dst, q.ReadAddress)
		dst = binary.BigEndian.AppendUint16(dst, q.ReadCount)
		fallthrough
	case WriteMany:
		dst = binary.BigEndian.AppendUint16(dst, q.WriteAddress)
		dst = binary.BigEndian.AppendUint16(dst, uint16(len(q.Write)))
		dst = append(dst, byte(2*len(q.Write)))
		for _, v := range q.Write {
			dst = binary.BigEndian.AppendUint16(dst, v)
		}
	}
	return AppendCRC(dst, start)
}

// ReplyLength is the length of the reply that answers the request.
func (q *Request) ReplyLength() int {
	if q.reads() {
		return 5 + 2*int(q.ReadCount)
	}
	return echoLength
}

func (q *Request) reads() bool { return q.Function != WriteOne && q.Function != WriteMany }

// begins says whether frame, as far as it goes, can be the reply that answers the request.
func (q *Request) begins(frame []byte) bool {
	var want [6]byte
	want[0], want[1] = q.Unit, byte(q.Function)
	n := 3
	if q.reads() {
		want[2] = byte(2 * q.ReadCount)
	} else {
		n = len(want)
		binary.BigEndian.PutUint16(want[2:], q.WriteAddress)
		binary.BigEndian.PutUint16(want[4:], q.echoed())
	}
	return matches(frame, want[:n])
}

// excepts says whether frame, as far as it goes, can be an exception to the request.
func (q *Request) excepts(frame []byte) bool {
	return matches(frame, []byte{q.Unit, byte(q.Function) | exceptionBit})
}

func (q *Request) echoed() uint16 {
	if q.Function == WriteOne {
		return q.Write[0]
	}
	return uint16(len(q.Write))
}

// matches compares as many bytes as both have.
func matches(frame, want []byte) bool {
	for i := range min(len(frame), len(want)) {
		if frame[i] != want[i] {
			return false
		}
	}
	return true
}
