package link

import (
	"errors"

	"beamhelm/drive"
	"beamhelm/drive/rtu"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// portWorker is the goroutine that owns one open line.
type portWorker struct {
	session  *session
	requests chan drive.Request
	replies  chan answer   // one may wait, so that nobody has to take it
	trouble  chan error    // the line failed; the portWorker has ended
	givenUp  chan struct{} // closed by whoever waited in vain
	end      chan struct{} // closed to end the portWorker
	ended    chan error    // what came of the last write
}

// answer is a reply with the state of the link at that moment.
type answer struct {
	reply           drive.Reply
	counts          [2]Counts
	answered, split bool
	refused         string
	registers       Registers
}

func newPortWorker(line rtu.Line, now func() step.Nanos, unit byte, counts [2]Counts) *portWorker {
	s := &portWorker{
		session: newSession(line, now, unit), requests: make(chan drive.Request), replies: make(chan answer, 1),
		trouble: make(chan error, 1), givenUp: make(chan struct{}), end: make(chan struct{}),
		ended: make(chan error, 1),
	}
	s.session.counts = counts
	return s
}

func (s *portWorker) run() {
	whole := false
	defer func() {
		if !whole {
			s.lastWords()
		}
	}()
	s.speak()
	whole = true
}

// lastWords sends zero demand and no orders after a panic, by a session of its
// own: nothing is known of the state of the other.
func (s *portWorker) lastWords() {
	defer func() {
		// The panic that is under way is the one to be told.
		_ = recover()
	}()
	old := s.session
	last := newSession(old.master.Line(), old.now, old.unit)
	last.sequence, last.answered, last.identity, last.watchdog, last.driving = old.sequence, old.answered, old.identity,
		old.watchdog, true
	for range 2 {
		if last.rest(last.now()+restWithin/2) == nil {
			return
		}
	}
}

func (s *portWorker) speak() {
	for {
		select {
		case <-s.end:
			s.ended <- s.session.rest(s.session.now() + restWithin)
			return
		case q := <-s.requests:
			ending.Here("serial port")
			before := s.failures()
			r := s.session.exchange(q)
			s.replies <- answer{r, s.session.counts, s.session.answered, s.session.master.Split, refusal(r.Err),
				s.session.heard}
			if s.failures() > before {
				s.trouble <- r.Err
				return
			}
		}
	}
}

// refusal is the exception in an error; empty where there is none.
func refusal(err error) string {
	if e, is := errors.AsType[rtu.Exception](err); is {
		return e.Error()
	}
	return ""
}

// failures counts what the line itself has failed at.
func (s *portWorker) failures() uint64 {
	return s.session.counts[0].Failed + s.session.counts[1].Failed
}
