package rtu

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"time"
)

// Line is an open serial line. Read returns what has come and waits for the
// first byte only as long as the time last set, then returns 0 and no error.
type Line interface {
	io.ReadWriteCloser
	SetReadTimeout(time.Duration) error
}

// Times of the drain after an exchange that went wrong.
const (
	quietFor = 20 * time.Millisecond
	maxDrain = 100 * time.Millisecond
)

// Counts tells how exchanges ended, and what was dropped on the way.
type Counts struct {
	Requests, Good               uint64
	Silent, Damaged, Exceptions  uint64
	StaleOnly, NotSent           uint64 // ended in ErrStale; in an error of the line
	StaleReplies, DiscardedBytes uint64
}

// Master makes one exchange at a time on a line. It belongs to one goroutine.
type Master struct {
	// Split is true once the slave has refused function 23 and taken 16 in its place: it is then driven by 16 and 03.
	Split  bool
	Counts Counts

	line     Line
	now      func() time.Duration
	receiver receiver
	lastByte time.Duration // when input was last seen
	bad      bool          // the last exchange went wrong
	sent     time.Duration
	// Room for frames, so that an exchange allocates nothing.
	request   [MaxFrame]byte
	frame     [MaxFrame]byte
	registers [MaxRead]uint16
}

// NewMaster returns a master on an open line, with the clock that deadlines are in.
func NewMaster(line Line, now func() time.Duration) *Master {
	return &Master{line: line, now: now, bad: true, lastByte: now()}
}

// Line is the line that it speaks on.
func (m *Master) Line() Line { return m.line }

// Sent is when the last request was handed to the line.
func (m *Master) Sent() time.Duration { return m.sent }

// Exchange sends a request and returns the registers of the reply, valid until
// the next call; none for functions 06 and 16. It returns by the deadline.
func (m *Master) Exchange(q *Request, deadline time.Duration) ([]uint16, error) {
	if q.Function == ReadWrite && m.Split {
		return m.split(q, deadline)
	}
	registers, err := m.once(q, deadline)
	if q.Function == ReadWrite && errors.Is(err, IllegalFunction) {
		good := m.Counts.Good
		registers, err = m.split(q, deadline)
		m.Split = m.Counts.Good > good // one that takes neither of the others says nothing of what it knows
	}
	return registers, err
}

// split makes two exchanges of one of function 23: a write by 16, a read by 03.
func (m *Master) split(q *Request, deadline time.Duration) ([]uint16, error) {
	write := Request{Unit: q.Unit, Function: WriteMany, WriteAddress: q.WriteAddress, Write: q.Write,
		NotAfter: q.NotAfter}
	if _, err := m.once(&write, deadline); err != nil {
		return nil, err
	}
	began := m.sent
	read := *q
	read.Function, read.Write = ReadHolding, nil
	registers, err := m.once(&read, deadline)
	m.sent = began
	return registers, err
}

func (m *Master) once(q *Request, deadline time.Duration) ([]uint16, error) {
	m.Counts.Requests++
	if err := m.quiet(deadline); err != nil {
		m.Counts.NotSent++
		return nil, err
	}
	m.receiver.reset()
	m.sent = m.now()
	if q.NotAfter > 0 && m.sent > q.NotAfter {
		m.Counts.Silent++
		return nil, ErrLate
	}
	m.bad = true
	out := q.Append(m.request[:0])
	if n, err := m.line.Write(out); err != nil || n != len(out) {
		m.Counts.NotSent++
		return nil, fmt.Errorf("sending a request of function %d, %d of %d bytes went: %w", q.Function, n, len(out),
			orShort(err))
	}
	registers, err := m.await(q, deadline)
	switch {
	case err == nil:
		m.Counts.Good++
		m.bad = false
	case errors.Is(err, ErrSilent):
		m.Counts.Silent++
	case errors.Is(err, ErrDamaged):
		m.Counts.Damaged++
	case errors.Is(err, ErrStale):
		m.Counts.StaleOnly++
	default:
		if _, refused := err.(Exception); refused {
			m.Counts.Exceptions++
		} else {
			m.Counts.NotSent++
		}
	}
	return registers, err
}

func orShort(err error) error {
	if err == nil {
		return io.ErrShortWrite
	}
	return err
}

// await reads until a reply counts or the deadline has come.
func (m *Master) await(q *Request, deadline time.Duration) ([]uint16, error) {
	stale := false
	for {
		left := deadline - m.now()
		if left <= 0 {
			break
		}
		n, err := m.read(left)
		if err != nil {
			return nil, fmt.Errorf("waiting for a reply: %w", err)
		}
		m.receiver.put(n)
		for {
			what, frame := m.receiver.next(q, &m.frame)
			if what == nothing {
				break
			}
			if what == exception {
				return nil, Exception(frame[2])
			}
			if registers, ok := m.accept(q, frame); ok {
				return registers, nil
			}
			stale = true
			m.Counts.StaleReplies++
		}
	}
	switch {
	case stale:
		return nil, ErrStale
	case m.receiver.any:
		return nil, ErrDamaged
	}
	return nil, ErrSilent
}

// accept takes the registers of a reply, if it is the one to this request.
func (m *Master) accept(q *Request, frame []byte) ([]uint16, bool) {
	if !q.reads() {
		return nil, true
	}
	registers := m.registers[:q.ReadCount]
	for i := range registers {
		registers[i] = binary.BigEndian.Uint16(frame[3+2*i:])
	}
	if q.CheckSequence && registers[q.SequenceAt] != q.Sequence {
		return nil, false
	}
	return registers, true
}

// quiet discards stray input, and after a bad exchange waits for silence, but
// no longer than half of the time that there is: a babbling line must not keep
// a stop from being sent.
func (m *Master) quiet(deadline time.Duration) error {
	now := m.now()
	until := now + min(maxDrain, max(0, deadline-now)/2)
	for {
		wait := time.Duration(0)
		if m.bad {
			wait = max(0, min(m.lastByte+quietFor, until)-m.now())
		}
		n, err := m.discard(wait)
		if err != nil {
			return fmt.Errorf("looking for silence on the line: %w", err)
		}
		if m.now() >= until || n == 0 && (!m.bad || m.now()-m.lastByte >= quietFor) {
			return nil
		}
	}
}

// discard reads once and counts what came.
func (m *Master) discard(wait time.Duration) (int, error) {
	m.receiver.reset()
	n, err := m.read(wait)
	m.Counts.DiscardedBytes += uint64(n)
	return n, err
}

func (m *Master) read(wait time.Duration) (int, error) {
	if err := m.line.SetReadTimeout(wait); err != nil {
		return 0, err
	}
	space := m.receiver.space()
	n, err := m.line.Read(space)
	if n < 0 || n > len(space) {
		return 0, fmt.Errorf("the line gave %d bytes for %d", n, len(space))
	}
	if n > 0 {
		m.lastByte = m.now()
	}
	return n, err
}
