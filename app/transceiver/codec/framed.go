package codec

// Framed is the binary family: FE FE, to, from, a command, its data, FD. Frequencies are in decimal digits, two a
// byte, the low ones first. Several radios may be at one wire, on which one's own frames are heard as well.
type Framed struct {
	// Address is the radio's, 00 to DF.
	Address byte

	frame  []byte // what has come of a frame, from behind its preamble
	opened int    // how many bytes of the preamble have come; 2: within a frame
	digits int    // bytes of a frequency, as the radio sends them
}

// The bytes of the family.
const (
	preamble   = 0xFE
	closing    = 0xFD
	collision  = 0xFC
	accepted   = 0xFB
	refusal    = 0xFA
	controller = 0xE0 // this computer's address

	readSelected = 0x03
	setSelected  = 0x05
	splitState   = 0x0F
	eitherVFO    = 0x25 // newer radios: 00 the selected one, 01 the other
)

// The lengths of a frequency, 5 bytes below 10 GHz and 6 for newer radios above, and of the longest frame of use.
const (
	shortDigits  = 5
	longDigits   = 6
	longestFrame = 32
)

func (f *Framed) framed(body ...byte) []byte {
	return append(append([]byte{preamble, preamble, f.Address, controller}, body...), closing)
}

// AskSplit implements Protocol.
func (f *Framed) AskSplit() []byte { return f.framed(splitState) }

// Ask implements Protocol.
func (f *Framed) Ask(v VFO) []byte {
	if v == Transmitter {
		return f.framed(eitherVFO, 1)
	}
	return f.framed(readSelected)
}

// Set implements Protocol. It sends as many digits as the radio did.
func (f *Framed) Set(v VFO, hz int64) []byte {
	n := max(f.digits, shortDigits)
	if hz >= 10_000_000_000 {
		n = longDigits
	}
	body := []byte{setSelected}
	if v == Transmitter {
		body = []byte{eitherVFO, 1}
	}
	for range n {
		body = append(body, byte(hz/10%10<<4|hz%10))
		hz /= 100
	}
	return f.framed(body...)
}

// Answers implements Protocol.
func (f *Framed) Answers() bool { return true }

// Forget implements Protocol.
func (f *Framed) Forget() { f.frame, f.opened = f.frame[:0], 0 }

// Take implements Protocol. What stands between frames is dropped, and a frame within which another begins, too.
func (f *Framed) Take(bytes []byte) (answers []Answer) {
	for _, b := range bytes {
		switch {
		case b == preamble:
			if len(f.frame) > 0 { // the one before lost its end
				f.Forget()
				answers = append(answers, Answer{Kind: Damaged})
			}
			f.opened = min(f.opened+1, 2)
		case f.opened < 2:
			f.opened = 0
		case b == collision, len(f.frame) == longestFrame:
			f.Forget()
			answers = append(answers, Answer{Kind: Damaged})
		case b == closing:
			if a, mine := f.read(f.frame); mine {
				answers = append(answers, a)
			}
			f.Forget()
		default:
			f.frame = append(f.frame, b)
		}
	}
	return answers
}

// read reads a whole frame; mine is false for one that is not for this computer: its own, another radio's, or
// one for everybody, which a radio sends when its dial is turned.
func (f *Framed) read(frame []byte) (a Answer, mine bool) {
	if len(frame) < 3 {
		return Answer{Kind: Damaged}, true
	}
	if frame[0] != controller || frame[1] != f.Address {
		return Answer{}, false
	}
	body := frame[2:]
	switch command, rest := body[0], body[1:]; {
	case command == accepted && len(rest) == 0:
		return Answer{Kind: Done}, true
	case command == refusal && len(rest) == 0:
		return Answer{Kind: Refused}, true
	case command == splitState && len(rest) == 1 && rest[0] <= 1:
		return Answer{Kind: Split, On: rest[0] == 1}, true
	case command == readSelected:
		return f.frequency(Receiver, rest), true
	case command == eitherVFO && len(rest) > 0 && rest[0] <= 1:
		return f.frequency(VFO(rest[0]), rest[1:]), true
	}
	return Answer{Kind: Damaged}, true
}

// frequency reads the digits of a frequency.
func (f *Framed) frequency(v VFO, digits []byte) Answer {
	if len(digits) != shortDigits && len(digits) != longDigits {
		return Answer{Kind: Damaged}
	}
	hz := int64(0)
	for i := len(digits) - 1; i >= 0; i-- {
		high, low := digits[i]>>4, digits[i]&15
		if high > 9 || low > 9 {
			return Answer{Kind: Damaged}
		}
		hz = hz*100 + int64(high)*10 + int64(low)
	}
	if !plausible(hz) {
		return Answer{Kind: Damaged}
	}
	f.digits = len(digits)
	return Answer{Kind: Frequency, VFO: v, Hz: hz}
}
