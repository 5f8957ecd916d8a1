package serve

import (
	"encoding/binary"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// bank is what a slave answers for: an enclosure as it is, or as a test spoils it.
type bank interface {
	Run(to time.Duration)
	Dead() bool
	Write(address uint16, values []uint16) error
	registers(badFrames uint16) [enclosure.RegisterCount]uint16
}

// Slave answers requests for an enclosure. It hears and says bytes; whoever
// carries them says when.
type Slave struct {
	order     order // the request in hand: here, so that answering allocates nothing
	enclosure *Enclosure
	bank      bank
	listener  rtu.Listener
	delay     time.Duration
	reply     [rtu.MaxFrame]byte
	n         int           // length of the reply that waits to leave, 0 for none
	at        time.Duration // when it leaves
	// Heard counts whole requests to this unit, Refused those that got an exception.
	Heard, Refused uint64
}

// NewSlave returns the line's side of an enclosure.
func NewSlave(e *Enclosure) *Slave {
	return &Slave{enclosure: e, bank: e, listener: rtu.Listener{Unit: e.config.Unit}, delay: e.config.replyDelay()}
}

// Enclosure is the one that answers.
func (s *Slave) Enclosure() *Enclosure { return s.enclosure }

// Run lets time pass up to a time.
func (s *Slave) Run(to time.Duration) {
	s.bank.Run(to)
	s.look(to)
}

// Hear takes bytes that arrive at a time. What arrives while a reply waits or leaves is ignored.
func (s *Slave) Hear(p []byte, at time.Duration) {
	if s.n > 0 {
		return
	}
	s.listener.Put(p, at)
	s.look(at)
}

// Say returns the reply that waits, and when it begins to leave.
func (s *Slave) Say() (reply []byte, at time.Duration, ok bool) {
	return s.reply[:s.n], s.at, s.n > 0
}

// Said tells that the reply has left.
func (s *Slave) Said() { s.n = 0 }

func (s *Slave) look(at time.Duration) {
	for s.n == 0 {
		frame, ok := s.listener.Next(at)
		if !ok {
			return
		}
		s.bank.Run(at)
		if frame[0] == 0 || s.bank.Dead() {
			continue
		}
		s.Heard++
		reply := s.answer(frame[:len(frame)-2], s.reply[:0])
		s.n, s.at = len(rtu.AppendCRC(reply, 0)), at+s.delay
	}
}

// order of a request, taken apart.
type order struct {
	readAddress, writeAddress uint16
	read, write               int // registers
	values                    [rtu.MaxWrite]uint16
}

// answer appends the reply to a request, both without CRC, and lets it take
// effect. What is wrong is looked for in the standard's order: function,
// quantities, range read, range written, values.
func (s *Slave) answer(request, dst []byte) []byte {
	function := rtu.Function(request[1])
	s.order = order{}
	o := &s.order
	err := s.take(request, o)
	if err == nil && o.write > 0 {
		err = s.bank.Write(o.writeAddress, o.values[:o.write])
	}
	dst = append(dst, request[0])
	if err != nil {
		s.Refused++
		code, _ := err.(rtu.Exception)
		return append(dst, request[1]|0x80, byte(code))
	}
	dst = append(dst, request[1])
	if function == rtu.WriteOne || function == rtu.WriteMany {
		return append(dst, request[2:6]...)
	}
	all := s.bank.registers(s.listener.BadFrames)
	dst = append(dst, byte(2*o.read))
	for _, v := range all[o.readAddress:][:o.read] {
		dst = binary.BigEndian.AppendUint16(dst, v)
	}
	return dst
}

// take takes a request apart and checks all but the values.
func (s *Slave) take(request []byte, o *order) error {
	function, body := rtu.Function(request[1]), request[2:]
	word := func(i int) uint16 { return binary.BigEndian.Uint16(body[2*i:]) }
	maxRead, maxWrite := 0, 0
	var values []byte
	switch {
	case function == rtu.ReadHolding || function == rtu.ReadInput:
		o.readAddress, o.read, maxRead = word(0), int(word(1)), rtu.MaxRead
	case function == rtu.WriteOne:
		o.writeAddress, o.write, maxWrite = word(0), 1, 1
		values = body[2:]
	case function == rtu.WriteMany:
		o.writeAddress, o.write, maxWrite = word(0), int(word(1)), rtu.MaxWrite
		values = body[5:]
	case function == rtu.ReadWrite && !s.enclosure.config.WithoutReadWrite:
		o.readAddress, o.read, maxRead = word(0), int(word(1)), rtu.MaxReadWriteRead
		o.writeAddress, o.write, maxWrite = word(2), int(word(3)), rtu.MaxReadWriteWrite
		values = body[9:]
	default:
		return rtu.IllegalFunction
	}
	if maxRead > 0 && (o.read < 1 || o.read > maxRead) ||
		maxWrite > 0 && (o.write < 1 || o.write > maxWrite || len(values) != 2*o.write) {
		return rtu.IllegalDataValue
	}
	if int(o.readAddress)+o.read > enclosure.RegisterCount || maxWrite > 0 && !writable(o.writeAddress, o.write) {
		return rtu.IllegalDataAddress
	}
	for i := range o.write {
		o.values[i] = binary.BigEndian.Uint16(values[2*i:])
	}
	return nil
}
