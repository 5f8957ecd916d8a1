// Package codec has the two families of protocols by which radios are read and set over a serial line: binary frames
// with an address, and ASCII commands that end with a semicolon. It only makes and reads bytes. Neither
// family has a check sum: who asks must ask again before a figure is believed.
//
// What radios of each family answer is common practice, no source: addresses, rates and digits differ.
package codec

// VFO is one of the two frequencies that a radio holds.
type VFO uint8

const (
	// Receiver is the one that receives now, Transmitter the one that would transmit in split operation.
	Receiver VFO = iota
	Transmitter
)

// Kind is what an answer says.
type Kind uint8

const (
	Frequency Kind = iota // Hz of the VFO
	Split                 // On: the transmitter has a frequency of its own
	Done                  // what was set is set
	Refused               // not known, or not now
	Damaged               // bytes that are no answer
)

// Answer is what a radio said.
type Answer struct {
	Kind Kind
	VFO  VFO
	Hz   int64
	On   bool
}

// Protocol speaks to a radio. Its methods only make and take bytes.
type Protocol interface {
	// AskSplit asks whether split operation is on, where the family can tell.
	AskSplit() []byte
	// Ask asks for the frequency of a VFO. After AskSplit was answered.
	Ask(VFO) []byte
	// Set sets the frequency of a VFO; Answers says whether that is answered.
	Set(vfo VFO, hz int64) []byte
	Answers() bool
	// Take takes bytes as they come, in pieces of any size, and returns what they complete, oldest first.
	Take([]byte) []Answer
	// Forget drops what has come of an answer that isn't complete.
	Forget()
}

// The frequencies that a radio may have, Hz: anything else is damaged.
const (
	minHz = 10_000
	maxHz = 300_000_000_000
)

func plausible(hz int64) bool { return hz >= minHz && hz <= maxHz }
