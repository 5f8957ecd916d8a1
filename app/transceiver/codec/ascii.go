package codec

import (
	"fmt"
	"strconv"
)

// ASCII is the family of commands that end with a semicolon: FA and FB are the two VFOs in Hz, FR and FT which of
// them receives and which transmits. What sets something isn't answered.
type ASCII struct {
	line   []byte
	spoilt bool // the line so far holds what can't be part of an answer
	digits int  // of a frequency, as the radio sends them
	// bReceives and bTransmits say that the second VFO does.
	bReceives, bTransmits bool
}

// The digits of a frequency, by maker, and the longest answer that is of use.
const (
	fewDigits   = 9
	manyDigits  = 11
	longestLine = 40
)

// AskSplit implements Protocol: both are answered, the second with what they come to.
func (a *ASCII) AskSplit() []byte { return []byte("FR;FT;") }

// command is that of a VFO.
func (a *ASCII) command(v VFO) string {
	second := a.bReceives
	if v == Transmitter {
		second = a.bTransmits
	}
	if second {
		return "FB"
	}
	return "FA"
}

// Ask implements Protocol.
func (a *ASCII) Ask(v VFO) []byte { return []byte(a.command(v) + ";") }

// Set implements Protocol. It sends as many digits as the radio did.
func (a *ASCII) Set(v VFO, hz int64) []byte {
	n := a.digits
	if n == 0 {
		n = manyDigits
	}
	return fmt.Appendf(nil, "%s%0*d;", a.command(v), n, hz)
}

// Answers implements Protocol.
func (a *ASCII) Answers() bool { return false }

// Forget implements Protocol.
func (a *ASCII) Forget() { a.line, a.spoilt = a.line[:0], false }

// Take implements Protocol.
func (a *ASCII) Take(bytes []byte) (answers []Answer) {
	for _, b := range bytes {
		switch {
		case b == ';':
			answer, told := a.read(string(a.line))
			if a.spoilt {
				answer, told = Answer{Kind: Damaged}, true
			}
			if told {
				answers = append(answers, answer)
			}
			a.Forget()
		case b == '\r' || b == '\n':
		case b < ' ' || b > '~' || len(a.line) == longestLine:
			a.spoilt = true
		default:
			a.line = append(a.line, b)
		}
	}
	return answers
}

// read reads a whole answer; told is false for one that says nothing of use, as one's own question that is heard
// again, or what a radio tells unasked.
func (a *ASCII) read(line string) (answer Answer, told bool) {
	switch line {
	case "?", "E", "O":
		return Answer{Kind: Refused}, true
	case "FA", "FB", "FR", "FT", "ID", "AI0":
		return Answer{}, false
	}
	if len(line) < 3 {
		return Answer{Kind: Damaged}, true
	}
	rest := line[2:]
	switch command := line[:2]; command {
	case "FR", "FT":
		if rest != "0" && rest != "1" {
			return Answer{Kind: Damaged}, true
		}
		if command == "FR" {
			a.bReceives = rest == "1"
			return Answer{}, false
		}
		a.bTransmits = rest == "1"
		return Answer{Kind: Split, On: a.bTransmits != a.bReceives}, true
	case "FA", "FB":
		return a.frequency(command == "FB", rest)
	}
	return Answer{}, false
}

func (a *ASCII) frequency(second bool, digits string) (Answer, bool) {
	hz, err := strconv.ParseUint(digits, 10, 63)
	if err != nil || len(digits) != fewDigits && len(digits) != manyDigits || !plausible(int64(hz)) {
		return Answer{Kind: Damaged}, true
	}
	a.digits = len(digits)
	out := Answer{Kind: Frequency, Hz: int64(hz)}
	switch second {
	case a.bReceives: // the same VFO may be both: then it is the receiver's
	case a.bTransmits:
		out.VFO = Transmitter
	default:
		return Answer{}, false // the VFO that isn't in use
	}
	return out, true
}
