package link

import (
	"errors"
	"fmt"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
	"beamhelm/drive/step"
)

// Why an exchange ended without a reply, beside the errors of package rtu.
var (
	// ErrNotConnected: no line is open, or no enclosure has answered on it yet.
	ErrNotConnected = errors.New("not connected")
	// ErrHandshake: the exchange went into meeting the enclosure; the next one is made as asked.
	ErrHandshake = errors.New("the enclosure has just been met")
	// ErrMapVersion: the enclosure has a register map that is not known; nothing is written to it.
	ErrMapVersion = errors.New("the enclosure's register map has another version")
	// ErrOverrun: the port did not return in time. One that goes on so is given up and opened again.
	ErrOverrun = errors.New("the port did not return in time")
)

// latchesEvery is how often the latches and the upper readings are read with the others.
const latchesEvery = time.Second

// tooLate is how long after its deadline a demand or an order may still be sent. A program that was halted in the
// middle, or starved for so long, sends none that it worked out before; zero demand and no orders are always sent.
const tooLate = 200 * time.Millisecond

// meetCount registers from 0000 on hold the identity and the sequence last accepted.
const meetCount = 0x22

// session speaks with one enclosure over one open line. It belongs to one goroutine.
type session struct {
	unit   byte
	master *rtu.Master
	now    func() step.Nanos

	sequence uint16 // of the last request
	answered bool
	recalled bool // the identity was read by the exchange before this one
	identity enclosure.Identity
	atRest   bool // a demand of zero has gone out since the enclosure was met
	driving  bool // the last demand sent asked for something
	keyed    bool
	due      [2]step.Nanos // when latches, and the upper readings, are read next
	watchdog uint16
	counts   [2]Counts // not keyed, keyed
	request  rtu.Request
	values   [enclosure.SlowWriteCount]uint16
	heard    Registers
}

func newSession(line rtu.Line, now func() step.Nanos, unit byte) *session {
	return &session{unit: unit, master: rtu.NewMaster(line, now), now: now, watchdog: enclosure.WatchdogAtStart}
}

// exchange makes one exchange, as drive.Exchanger describes.
func (s *session) exchange(q drive.Request) (r drive.Reply) {
	recalled := s.recalled
	s.recalled = false
	before := s.master.Counts
	switch {
	case !s.answered:
		r.Err = s.meet(q.Deadline)
		if r.Err == nil && q.Ask != drive.AskIdentity {
			s.recalled = true
			r.Err = ErrHandshake
		}
		r.Identity = s.identity
	case q.Ask == drive.AskIdentity:
		if !recalled {
			r.Err = s.identify(q.Deadline)
		}
		r.Identity = s.identity
	case s.identity.MapVersion != enclosure.MapVersion:
		r.Err = ErrMapVersion
	case q.Ask == drive.AskReadings || q.Ask == drive.AskMoreReadings:
		r.Err = s.readings(q, &r.Readings)
	default:
		r.Err = s.tick(q, &r.Motion)
	}
	r.SentAt, r.ReceivedAt, r.Split = s.master.Sent(), s.now(), s.master.Split
	s.counts[index(s.keyed)].add(before, s.master.Counts)
	if r.Err != nil && !errors.Is(r.Err, ErrHandshake) {
		r.Err = fmt.Errorf("%s: %w", purpose(q.Ask), r.Err)
	}
	return r
}

func index(b bool) int {
	if b {
		return 1
	}
	return 0
}

func purpose(a drive.Ask) string {
	switch a {
	case drive.AskSlow:
		return "sending orders"
	case drive.AskIdentity:
		return "reading the identity"
	case drive.AskReadings, drive.AskMoreReadings:
		return "reading the readings"
	}
	return "exchanging demand and motion"
}

// meet reads the identity and the sequence last accepted; the next sequence goes on from it.
func (s *session) meet(deadline step.Nanos) error {
	s.request = rtu.Request{Unit: s.unit, Function: rtu.ReadHolding, ReadAddress: enclosure.AddressIdentity,
		ReadCount: meetCount}
	registers, err := s.master.Exchange(&s.request, deadline)
	if err != nil {
		return err
	}
	s.identity, err = enclosure.DecodeIdentity(registers[:enclosure.IdentityCount])
	if err != nil {
		return err
	}
	s.heard.keep(enclosure.AddressIdentity, registers)
	s.sequence = registers[meetCount-1]
	s.answered, s.atRest = true, false
	return nil
}

func (s *session) identify(deadline step.Nanos) error {
	s.request = rtu.Request{Unit: s.unit, Function: rtu.ReadHolding, ReadAddress: enclosure.AddressIdentity,
		ReadCount: enclosure.IdentityCount}
	registers, err := s.master.Exchange(&s.request, deadline)
	if err != nil {
		return err
	}
	s.heard.keep(enclosure.AddressIdentity, registers)
	s.identity, err = enclosure.DecodeIdentity(registers)
	return err
}

// write prepares a request of function 23 with the next sequence, which the
// register at a place of the reply must hold.
func (s *session) write(count int, read, readCount uint16, sequenceAt int) {
	s.sequence++
	s.values[0] = s.sequence
	s.request = rtu.Request{
		Unit: s.unit, Function: rtu.ReadWrite, ReadAddress: read, ReadCount: readCount,
		WriteAddress: enclosure.AddressDemand, Write: s.values[:count],
		CheckSequence: true, SequenceAt: sequenceAt, Sequence: s.sequence,
	}
}

// tick writes the demand, with slow orders where asked, and reads the motion
// block. The first demand after meeting is zero, whatever was asked.
func (s *session) tick(q drive.Request, m *enclosure.Motion) error {
	d := q.Demand
	if !s.atRest {
		d.Az, d.El = 0, 0
	}
	count := enclosure.DemandCount
	s.write(count, enclosure.AddressMotion, enclosure.MotionCount, 1)
	d.Sequence = s.sequence
	d.Encode((*[enclosure.DemandCount]uint16)(s.values[:]))
	if q.Ask == drive.AskSlow {
		count = enclosure.SlowWriteCount
		s.values[6], s.values[7] = 0, 0
		q.Slow.Encode((*[3]uint16)(s.values[enclosure.AddressSlow-enclosure.AddressDemand:]))
		s.request.Write = s.values[:count]
	}
	s.driving = d.Orders != 0 || d.Az != 0 || d.El != 0
	s.watchdog = d.WatchdogMillis
	if s.driving {
		s.request.NotAfter = q.Deadline + tooLate
	}
	registers, err := s.master.Exchange(&s.request, q.Deadline)
	if err != nil {
		return err
	}
	s.atRest = true
	s.heard.keep(enclosure.AddressDemand, s.request.Write)
	s.heard.keep(enclosure.AddressMotion, registers)
	*m, err = enclosure.DecodeMotion(registers)
	s.keyed = m.State&enclosure.StateKeyed != 0
	return err
}

// readings writes the sequence alone and reads one half of the readings; once
// a second the latches with the lower half, and what lies above the sequence's
// copy with the upper.
func (s *session) readings(q drive.Request, r *enclosure.Readings) error {
	*r = enclosure.NoReadings()
	now := s.now()
	half := index(q.Ask == drive.AskMoreReadings)
	long := now >= s.due[half]
	address, count, sequenceAt := uint16(enclosure.AddressLatches+9), uint16(13), 0
	switch {
	case half == 0 && long:
		address, count, sequenceAt = enclosure.AddressLatches, 22, 9
	case half == 1:
		address, sequenceAt = enclosure.AddressReadings+12, 12
		if long {
			count = 17
		}
	}
	s.write(1, address, count, sequenceAt)
	registers, err := s.master.Exchange(&s.request, q.Deadline)
	if err != nil {
		return err
	}
	s.heard.keep(int(address), registers)
	if long {
		s.due[half] = max(s.due[half]+latchesEvery, now+latchesEvery/2)
	}
	return r.Decode(address, registers)
}

// rest sends zero demand and no orders, and says whether that was accepted.
// Where the last demand asked for nothing there is nothing to send.
func (s *session) rest(deadline step.Nanos) error {
	if !s.answered || !s.driving || s.identity.MapVersion != enclosure.MapVersion {
		return nil
	}
	var m enclosure.Motion
	return s.tick(drive.Request{Demand: enclosure.Demand{WatchdogMillis: s.watchdog}, Deadline: deadline}, &m)
}
