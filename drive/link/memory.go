package link

import (
	"time"

	"beamhelm/drive"
	"beamhelm/drive/rtu"
)

// VirtualLine is a line whose time passes only as it is used.
type VirtualLine interface {
	rtu.Line
	// Now is the line's time; RunTo lets it pass.
	Now() time.Duration
	RunTo(time.Duration)
}

// Memory makes exchanges over a line in virtual time, in the caller's
// goroutine. The line's time is the loop's: it runs on to a request's At before
// the request, and stands at the end of the exchange after it.
type Memory struct {
	line    VirtualLine
	unit    byte
	session *session
	status  Status
}

// NewMemory returns an exchanger over a virtual line. It sends nothing.
func NewMemory(line VirtualLine, unit byte) *Memory {
	m := &Memory{line: line, unit: unit}
	m.open()
	return m
}

func (m *Memory) open() {
	m.session = newSession(m.line, m.line.Now, m.unit)
	m.status.Open, m.status.Opened = true, m.status.Opened+1
}

// Exchange makes one exchange.
func (m *Memory) Exchange(q drive.Request) drive.Reply {
	if q.At > m.line.Now() {
		m.line.RunTo(q.At)
	}
	before := m.session.counts
	failed := before[0].Failed + before[1].Failed
	r := m.session.exchange(q)
	c := &m.session.counts
	m.status.Quiet, m.status.Keyed = c[0], c[1]
	m.status.Answered, m.status.WithoutReadWrite = m.session.answered, m.session.master.Split
	m.status.Refused = refusal(r.Err)
	if c[0].Failed+c[1].Failed > failed {
		// The line is gone, and would be opened again.
		m.status.Trouble = r.Err.Error()
		m.open()
		m.session.counts = *c
	}
	return r
}

// Reopen is what closing the port and opening it again does.
func (m *Memory) Reopen() {
	c := m.session.counts
	m.open()
	m.session.counts = c
}

// Status is the link's.
func (m *Memory) Status() Status { return m.status }
