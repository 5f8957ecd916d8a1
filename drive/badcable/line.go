package badcable

import (
	"errors"
	"time"
)

// ErrUnplugged is what an unplugged line says.
var ErrUnplugged = errors.New("the line is unplugged")

// Far is what hears and says bytes at the far end, in virtual time.
type Far interface {
	// Run lets time pass up to a time.
	Run(to time.Duration)
	// Hear takes bytes that arrive at a time.
	Hear(p []byte, at time.Duration)
	// Say returns what waits to leave, and when it begins to; Said tells that it has left.
	Say() (p []byte, at time.Duration, ok bool)
	Said()
}

// arrival is a byte on its way.
type arrival struct {
	b  byte
	at time.Duration
}

// Line is the near end of a line in virtual time. Its time passes in Read, as
// long as its time-out lets it, and in RunTo. It belongs to one goroutine.
type Line struct {
	far       Far
	spoiler   spoiler
	character time.Duration
	now, wait time.Duration
	out, in   queue
	outFree   time.Duration // when the last byte on its way out has passed
	inFree    time.Duration
	saidAt    time.Duration // when the far end has said what it says now
	scratch   []byte
	one       [1]byte
	speaking  bool // the far end is saying something
	unplugged bool
	hangs     time.Duration // until when nothing passes
}

// NewLine returns a line to a far end, at time 0.
func NewLine(far Far, c Config) (*Line, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return &Line{far: far, spoiler: newSpoiler(c, 0), character: c.Character()}, nil
}

// Now is the line's time.
func (l *Line) Now() time.Duration { return l.now }

// Spoil changes how good the line is from now on; the seed given at first stays.
func (l *Line) Spoil(c Config) error {
	if err := c.Validate(); err != nil {
		return err
	}
	l.spoiler.config, l.character = c, c.Character()
	return nil
}

// Unplug and Plug take the line apart and put it together; what was on its way is lost.
func (l *Line) Unplug() {
	l.unplugged = true
	l.lose()
}

// Plug puts the line together again.
func (l *Line) Plug() { l.unplugged = false }

// Hang lets nothing pass for a time; what was on its way is lost.
func (l *Line) Hang(d time.Duration) {
	l.hangs = l.now + d
	l.lose()
}

func (l *Line) lose() {
	l.out.clear()
	l.in.clear()
	if l.speaking {
		l.speaking = false
		l.far.Said()
	}
}

// SetReadTimeout sets how long Read waits for the first byte.
func (l *Line) SetReadTimeout(d time.Duration) error {
	l.wait = d
	return nil
}

// Close leaves the line; it can be used again, as a port can be opened again.
func (l *Line) Close() error { return nil }

// Write sends bytes. It takes no time: they leave one after the other.
func (l *Line) Write(p []byte) (int, error) {
	if l.unplugged {
		return 0, ErrUnplugged
	}
	if l.now < l.hangs {
		return len(p), nil
	}
	l.scratch = l.spoiler.bytes(l.scratch[:0], p)
	l.outFree = l.send(&l.out, l.scratch, max(l.now, l.outFree))
	return len(p), nil
}

func (l *Line) send(q *queue, p []byte, at time.Duration) time.Duration {
	for _, b := range p {
		at += l.character
		q.push(arrival{b, at})
	}
	return at
}

// Read returns the bytes that have arrived, and lets time pass until the first
// of them or the time-out.
func (l *Line) Read(p []byte) (int, error) {
	until := l.now + max(0, l.wait)
	for {
		if l.unplugged {
			return 0, ErrUnplugged
		}
		l.settle()
		if n := l.arrived(p); n > 0 {
			return n, nil
		}
		if l.now >= until {
			return 0, nil
		}
		l.step(until)
	}
}

// arrived takes what has arrived by now.
func (l *Line) arrived(p []byte) (n int) {
	for n < len(p) {
		a, ok := l.in.first()
		if !ok || a.at > l.now {
			break
		}
		p[n] = a.b
		n++
		l.in.pop()
	}
	return n
}

// RunTo lets time pass; what arrives meanwhile waits to be read.
func (l *Line) RunTo(to time.Duration) {
	for l.now < to {
		l.step(to)
	}
}

// maxStep is how long the far end is left alone at most.
const maxStep = 5 * time.Millisecond

// step lets time pass to the next thing that happens, at most to a time.
func (l *Line) step(to time.Duration) {
	next := min(to, l.now+maxStep)
	if a, ok := l.out.first(); ok {
		next = min(next, a.at)
	}
	if a, ok := l.in.first(); ok && a.at > l.now {
		next = min(next, a.at)
	}
	l.now = max(l.now, next)
	l.settle()
}

// settle gives the far end what has reached it, and takes what it says.
func (l *Line) settle() {
	for {
		a, ok := l.out.first()
		if !ok || a.at > l.now {
			break
		}
		l.out.pop()
		l.one[0] = a.b
		l.far.Hear(l.one[:], a.at)
		l.listen()
	}
	if l.speaking && l.now >= l.saidAt {
		l.speaking = false
		l.far.Said()
	}
	l.far.Run(l.now)
	l.listen()
}

// listen puts on its way what the far end says.
func (l *Line) listen() {
	if l.speaking {
		return
	}
	p, at, ok := l.far.Say()
	if !ok {
		return
	}
	if l.now < l.hangs || l.unplugged {
		l.far.Said()
		return
	}
	spoilt, late := l.spoiler.reply(l.scratch[:0], p)
	l.scratch = spoilt
	l.saidAt = at + time.Duration(len(p))*l.character
	l.inFree = l.send(&l.in, spoilt, max(at+late, l.now, l.inFree))
	l.speaking = true
}

// queue of bytes on their way.
type queue struct {
	all  []arrival
	head int
}

func (q *queue) push(a arrival) { q.all = append(q.all, a) }

func (q *queue) first() (a arrival, ok bool) {
	if q.head == len(q.all) {
		return a, false
	}
	return q.all[q.head], true
}

func (q *queue) pop() {
	q.head++
	if q.head == len(q.all) {
		q.clear()
	}
}

func (q *queue) clear() { q.all, q.head = q.all[:0], 0 }
