package link

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// Config of a port's link.
type Config struct {
	// Unit of the enclosure, 1 to 247.
	Unit byte
	// Grace is how long after its deadline an exchange is waited for. A port
	// that has not returned GiveUp after the deadline is given up; a shorter
	// delay is the computer's, not the port's.
	Grace, GiveUp time.Duration
	// ReopenFirst is how long after trouble the port is opened again; the time
	// doubles while that fails, up to MaxReopen.
	ReopenFirst, MaxReopen time.Duration
}

// Default is unit 1; a port is opened again within a quarter of a second.
func Default() Config {
	return Config{Unit: 1, Grace: 20 * time.Millisecond, GiveUp: 300 * time.Millisecond,
		ReopenFirst: 50 * time.Millisecond, MaxReopen: 250 * time.Millisecond}
}

// Validate names the first field that cannot be used.
func (c Config) Validate() error {
	switch {
	case c.Unit < 1 || c.Unit > 247:
		return fmt.Errorf("link: unit %d, may be 1 to 247", c.Unit)
	case c.Grace <= 0 || c.Grace > time.Second:
		return fmt.Errorf("link: grace %v, may be above 0, to 1 s", c.Grace)
	case c.GiveUp < c.Grace || c.GiveUp > time.Minute:
		return fmt.Errorf("link: giving up after %v, may be from the grace to 1 minute", c.GiveUp)
	case c.ReopenFirst <= 0 || c.MaxReopen < c.ReopenFirst || c.MaxReopen > time.Minute:
		return fmt.Errorf("link: reopening after %v to %v, may be above 0, to 1 minute", c.ReopenFirst, c.MaxReopen)
	}
	return nil
}

// Port makes exchanges over a port that it opens, and opens again after
// trouble. Run does the work. Exchange belongs to one goroutine, Status to any.
type Port struct {
	open   Opener
	now    func() step.Nanos
	config Config

	lendings chan lending

	mu         sync.Mutex
	portWorker *portWorker // nil: not open
	registers  Registers
	status     Status

	// Of Exchange's goroutine:
	timer   *time.Timer
	waiting *portWorker // one that still owes an answer that nobody waits for
	since   step.Nanos  // the deadline of that answer
}

// NewPort returns a link over what open opens. Times of exchanges count from
// began, as the loop's do. It opens nothing.
func NewPort(open Opener, began time.Time, c Config) (*Port, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	timer := time.NewTimer(time.Hour)
	timer.Stop()
	return &Port{open: open, now: func() step.Nanos { return time.Since(began) }, config: c, timer: timer,
		lendings: make(chan lending)}, nil
}

// Status is the link's.
func (p *Port) Status() Status {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.status
}

// restWithin is how long the last write of all may take.
const restWithin = 300 * time.Millisecond

// Run keeps the port open until the context ends. Then it sends zero drive and
// power off, unless that was the last demand anyway, and closes the port.
func (p *Port) Run(ctx context.Context) error {
	wait := p.config.ReopenFirst
	for {
		ending.Here("line")
		var lent *lending
		line, err := p.open()
		if err == nil {
			wait = p.config.ReopenFirst
			lent, err = p.serve(ctx, &guarded{line: line})
		}
		if ctx.Err() != nil {
			return err
		}
		if lent == nil {
			p.troubled(err)
			select {
			case <-ctx.Done():
				return nil
			case l := <-p.lendings:
				lent = &l
			case <-time.After(wait):
			}
			wait = min(2*wait, p.config.MaxReopen)
		}
		if lent != nil && !p.lend(ctx, lent) {
			return nil
		}
	}
}

func (p *Port) troubled(err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.status.Trouble = err.Error()
}

// serve lets a portWorker use a line until it has trouble, is given up, the
// context ends or the port is to be lent, which it returns then.
func (p *Port) serve(ctx context.Context, line *guarded) (lent *lending, err error) {
	p.mu.Lock()
	p.status.Opened++
	counts := [2]Counts{p.status.Quiet, p.status.Keyed}
	s := newPortWorker(line, p.now, p.config.Unit, counts)
	p.status.Open, p.status.Answered, p.status.WithoutReadWrite, p.status.Refused = true, false, false, ""
	p.portWorker = s
	p.mu.Unlock()
	ending.Go("serial port", s.run)
	select {
	case err = <-s.trouble:
	case <-s.givenUp:
		err = ErrOverrun
	case l := <-p.lendings:
		lent = &l
	case <-ctx.Done():
	}
	p.mu.Lock()
	p.portWorker = nil
	p.status.Open, p.status.Answered = false, false
	p.mu.Unlock()
	close(s.end)
	if err == nil {
		select {
		case err = <-s.ended:
		case err = <-s.trouble:
		case <-time.After(restWithin + p.config.Grace):
			err = ErrOverrun
		}
	}
	return lent, errors.Join(err, line.Close())
}

// Exchange makes one exchange, or says at once that there is no connection. It
// returns by the deadline and the grace, whatever the port does.
func (p *Port) Exchange(q drive.Request) drive.Reply {
	p.mu.Lock()
	s := p.portWorker
	p.mu.Unlock()
	if s == nil {
		return p.refused(ErrNotConnected)
	}
	p.timer.Reset(q.Deadline - p.now() + p.config.Grace)
	defer p.timer.Stop()
	if s == p.waiting {
		if _, ok := p.answer(s); !ok {
			return p.overrun(s)
		}
	}
	select {
	case s.requests <- q:
	case <-s.end:
		return p.refused(ErrNotConnected)
	case <-p.timer.C:
		return p.refused(ErrOverrun)
	}
	p.waiting, p.since = s, q.Deadline
	r, ok := p.answer(s)
	if !ok {
		return p.overrun(s)
	}
	return r
}

// answer takes the answer that a portWorker owes; false when the time is over before it comes.
func (p *Port) answer(s *portWorker) (drive.Reply, bool) {
	select {
	case a := <-s.replies:
		p.waiting = nil
		p.mu.Lock()
		defer p.mu.Unlock()
		p.status.Quiet, p.status.Keyed = a.counts[0], a.counts[1]
		p.status.Answered, p.status.WithoutReadWrite, p.status.Refused = a.answered, a.split, a.refused
		p.registers = a.registers
		if a.reply.Err == nil {
			p.status.Trouble = ""
		}
		return a.reply, true
	case <-p.timer.C:
		return drive.Reply{}, false
	}
}

func (p *Port) refused(err error) drive.Reply {
	now := p.now()
	return drive.Reply{Err: err, SentAt: now, ReceivedAt: now}
}

// overrun tells that a portWorker owes an answer, and gives it up when it has for too long.
func (p *Port) overrun(s *portWorker) drive.Reply {
	if p.now()-p.since < p.config.GiveUp {
		return p.refused(ErrOverrun)
	}
	p.waiting = nil
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.portWorker == s {
		p.portWorker = nil
		close(s.givenUp)
	}
	p.status.Quiet.Failed++
	return p.refused(ErrOverrun)
}
