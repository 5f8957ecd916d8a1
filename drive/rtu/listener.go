package rtu

import "time"

// unfinishedFor is how long a slave waits for the rest of a frame.
const unfinishedFor = 20 * time.Millisecond

// Listener finds the requests to one slave in what comes in: by the length
// that their function implies and their CRC, not by silence alone.
type Listener struct {
	// Unit is the slave's own, 1 to 247.
	Unit byte
	// BadFrames counts runs of input that were no frame, wrapping.
	BadFrames uint16

	held     [2 * MaxFrame]byte
	n        int
	lastByte time.Duration
	rubbish  bool // the byte given up last belonged to a run of rubbish
	frame    [MaxFrame]byte
}

// Put takes bytes that came at a time, which must not go back.
func (l *Listener) Put(input []byte, at time.Duration) {
	l.lastByte = at
	for len(input) > 0 {
		if l.n == len(l.held) {
			l.skip(MaxFrame)
		}
		n := copy(l.held[l.n:], input)
		l.n += n
		input = input[n:]
	}
}

// Reset gives up what is held.
func (l *Listener) Reset() { l.n, l.rubbish = 0, false }

// Next returns the next whole frame to this unit or to all (unit 0), CRC
// included, valid until the next call; false when there is none yet. What does
// not become a frame is given up after 20 ms without input.
func (l *Listener) Next(now time.Duration) ([]byte, bool) {
	for l.n > 0 {
		held := l.held[:l.n]
		n, waits := l.frameAt(held)
		switch {
		case n > 0:
			own := held[0] == l.Unit || held[0] == 0
			frame := l.frame[:copy(l.frame[:], held[:n])]
			l.remove(n)
			l.rubbish = false
			if own {
				return frame, true
			}
		case !waits || now-l.lastByte >= unfinishedFor:
			l.skip(1)
		default:
			// What waits for more may be rubbish that only looks like a frame:
			// a whole request behind it is taken at once.
			i := l.ownBehind(held)
			if i == 0 {
				return nil, false
			}
			l.skip(i)
		}
	}
	return nil, false
}

// skip gives up rubbish; a run of it counts once.
func (l *Listener) skip(n int) {
	if !l.rubbish {
		l.BadFrames++
	}
	l.rubbish = true
	l.remove(n)
}

func (l *Listener) remove(n int) {
	copy(l.held[:], l.held[n:l.n])
	l.n -= n
}

// ownBehind returns where behind the first byte a whole request to this unit begins, 0 for nowhere.
func (l *Listener) ownBehind(held []byte) int {
	for i := 1; i+4 <= len(held); i++ {
		if held[i] != l.Unit {
			continue
		}
		if n := requestLength(held[i:]); n > 0 && n <= len(held)-i && CRCValid(held[i:i+n]) {
			return i
		}
	}
	return 0
}

// frameAt returns the length of the good frame that held begins with, else 0
// and whether more input could still make one. A frame of another unit may be
// a request or a reply.
func (l *Listener) frameAt(held []byte) (n int, waits bool) {
	if len(held) < 2 {
		return 0, true
	}
	lengths := [2]int{requestLength(held), unknown}
	if held[0] != l.Unit && held[0] != 0 {
		lengths[1] = replyLength(held)
	}
	if lengths == [2]int{unknown, unknown} {
		return anyFrame(held)
	}
	for _, length := range lengths {
		switch {
		case length == unknown || length > MaxFrame:
		case length == more || len(held) < length:
			waits = true
		case CRCValid(held[:length]):
			return length, false
		}
	}
	return 0, waits
}

// What a length may be instead.
const (
	more    = 0  // it takes more input to say
	unknown = -1 // a function that is not known
)

// requestLength returns the length of a request by its function.
func requestLength(held []byte) int {
	switch Function(held[1]) {
	case ReadHolding, ReadInput, WriteOne:
		return 8
	case WriteMany:
		return counted(held, 6)
	case ReadWrite:
		return counted(held, 10)
	}
	return unknown
}

// replyLength returns the length of a reply by its function.
func replyLength(held []byte) int {
	if held[1]&exceptionBit != 0 {
		return exceptionLength
	}
	switch Function(held[1]) {
	case ReadHolding, ReadInput, ReadWrite:
		return counted(held, 2)
	case WriteOne, WriteMany:
		return echoLength
	}
	return unknown
}

// counted is the length of a frame whose byte count stands at a place.
func counted(held []byte, at int) int {
	if len(held) <= at {
		return more
	}
	return at + 1 + int(held[at]) + 2
}

// anyFrame looks for the end of a frame whose function is not known. The CRC
// of a frame with its own CRC is 0.
func anyFrame(held []byte) (n int, waits bool) {
	crc := uint16(0xFFFF)
	for i, b := range held[:min(len(held), MaxFrame)] {
		crc ^= uint16(b)
		crc = crc>>4 ^ remainders[crc&15]
		crc = crc>>4 ^ remainders[crc&15]
		if crc == 0 && i >= 3 {
			return i + 1, false
		}
	}
	return 0, len(held) < MaxFrame
}
