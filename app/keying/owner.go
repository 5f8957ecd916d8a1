package keying

import (
	"fmt"
	"io"
	"time"

	"beamhelm/ending"
)

// What the owner of a line is told, a byte each, and what it tells, a byte each. A reason follows after
// telling of trouble, up to the end of the line.
const (
	unkey = '0'
	key   = '1'
	ready = 'r'
	fault = '!'
)

// Own owns a line until its input ends or the line fails: it is the work of the process that owns the port.
// Whatever it does, it sets the line first and tells afterwards.
func Own(in io.Reader, out io.Writer, line Line, limit time.Duration) error {
	defer line.Close()
	if err := line.Set(false); err != nil {
		Refuse(out, err)
		return err
	}
	fmt.Fprintf(out, "%c\n", ready)
	came := make(chan byte)
	done := make(chan struct{})
	defer close(done)
	ending.Go("keying orders", func() {
		defer close(came)
		var b [1]byte
		for {
			if _, err := in.Read(b[:]); err != nil {
				return
			}
			select {
			case came <- b[0]:
			case <-done:
				return
			}
		}
	})
	o := owner{dog: watchdog{limit: min(limit, MaxLimit)}, began: time.Now(), line: line, out: out}
	return o.run(came)
}

// Refuse tells that there is no line, and why.
func Refuse(out io.Writer, why error) { fmt.Fprintf(out, "%c%v\n", fault, why) }

// owner is who owns a line, while it works.
type owner struct {
	dog   watchdog
	began time.Time
	line  Line
	out   io.Writer
	high  bool // as it was set
}

func (o *owner) run(came <-chan byte) error {
	for {
		var look <-chan time.Time
		var timer *time.Timer
		if o.dog.high {
			timer = time.NewTimer(o.dog.next() - time.Since(o.began))
			look = timer.C
		}
		ended := false
		select {
		case b, ok := <-came:
			ended = !ok
			if ok && (b == key || b == unkey) {
				o.dog.hear(b == key, time.Since(o.began))
			}
		case <-look:
			o.dog.look(time.Since(o.began))
		}
		if timer != nil {
			timer.Stop()
		}
		if ended {
			return o.line.Set(false)
		}
		if err := o.set(); err != nil {
			return err
		}
	}
}

// set brings the line to where it should be.
func (o *owner) set() error {
	if o.dog.high == o.high {
		return nil
	}
	if err := o.line.Set(o.dog.high); err != nil {
		o.line.Close() // which drops it, if anything does
		Refuse(o.out, err)
		return err
	}
	o.high = o.dog.high
	switch {
	case o.high:
		fmt.Fprintf(o.out, "%c\n", key)
	case o.dog.dropped != "":
		fmt.Fprintf(o.out, "%c%s\n", fault, o.dog.dropped)
	default:
		fmt.Fprintf(o.out, "%c\n", unkey)
	}
	return nil
}
