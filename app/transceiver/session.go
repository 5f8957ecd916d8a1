package transceiver

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"time"

	"beamhelm/app/transceiver/codec"
	"beamhelm/ending"
)

// What comes of a question.
var (
	errLost     = errors.New("the port was lost")
	errSilent   = errors.New("no answer; is it on, and are family, address and baud rate right?")
	errNonsense = errors.New("its answers are no frequencies; are family and baud rate right?")
	errRefused  = errors.New("it refuses to tell its frequency")
)

// session is a radio whose port is open.
type session struct {
	t    *Transceiver
	port io.ReadWriter
	came chan []byte
	lost chan error
	last [2]int64 // the newest frequency of each VFO that was believed

	// settled is the period for which each VFO was set, or given up; tries are those of this period.
	settled [2]time.Time
	tries   [2]int
}

// listen hands over what comes until the port ends.
func (s *session) listen(ctx context.Context) {
	for {
		ending.Here("radio's answers")
		piece := make([]byte, 256)
		n, err := s.port.Read(piece)
		if n > 0 {
			select {
			case s.came <- piece[:n]:
			case <-ctx.Done():
				return
			}
		}
		if err != nil {
			s.lost <- err
			return
		}
		if n == 0 { // a port whose reads have a limit
			select {
			case <-ctx.Done():
				return
			default:
			}
		}
	}
}

// most is how often a question is asked before it is given up.
const maximum = 3

// ask asks until an answer of a kind comes; the error is that of the last try.
func (s *session) ask(ctx context.Context, question []byte, is func(codec.Answer) bool) (a codec.Answer, err error) {
	for try := range maximum {
		if try > 0 && !s.pause(ctx) {
			return a, ctx.Err()
		}
		if a, err = s.askOnce(ctx, question, is); err == nil || errors.Is(err, errLost) || ctx.Err() != nil {
			return a, err
		}
	}
	return a, err
}

// pause waits a little, by chance more or less: where two controllers share a wire, they must not meet again.
func (s *session) pause(ctx context.Context) bool {
	c := &s.t.config
	select {
	case <-ctx.Done():
		return false
	case <-time.After(c.Pause/2 + rand.N(c.Pause)):
		return true
	}
}

func (s *session) askOnce(ctx context.Context, question []byte, is func(codec.Answer) bool) (codec.Answer, error) {
	protocol := s.t.config.Protocol
	for len(s.came) > 0 { // what came unasked
		<-s.came
	}
	protocol.Forget()
	if _, err := s.port.Write(question); err != nil {
		return codec.Answer{}, fmt.Errorf("%w: %w", errLost, err)
	}
	limit := time.NewTimer(s.t.config.Patience)
	defer limit.Stop()
	outcome := errSilent
	for {
		select {
		case <-ctx.Done():
			return codec.Answer{}, ctx.Err()
		case err := <-s.lost:
			return codec.Answer{}, fmt.Errorf("%w: %w", errLost, err)
		case <-limit.C:
			return codec.Answer{}, outcome
		case piece := <-s.came:
			if errors.Is(outcome, errSilent) {
				outcome = errNonsense // it says something
			}
			for _, a := range protocol.Take(piece) {
				switch {
				case is(a):
					return a, nil
				case a.Kind == codec.Refused:
					return a, errRefused
				case a.Kind == codec.Damaged:
					outcome = errNonsense
				}
			}
		}
	}
}

// read reads the dial.
func (s *session) read(ctx context.Context) (r Reading, err error) {
	p := s.t.config.Protocol
	split, err := s.ask(ctx, p.AskSplit(), func(a codec.Answer) bool { return a.Kind == codec.Split })
	if err != nil && !errors.Is(err, errRefused) { // what can't tell has none
		return r, err
	}
	r.Split = split.Kind == codec.Split && split.On
	receive, err := s.frequency(ctx, codec.Receiver)
	if err != nil {
		return r, err
	}
	r.ReceiveHz, r.TransmitHz = float64(receive), float64(receive)
	if !r.Split {
		return r, nil
	}
	transmit, err := s.frequency(ctx, codec.Transmitter)
	switch {
	case errors.Is(err, errRefused):
		r.TransmitHz = math.NaN()
	case err != nil:
		return r, err
	default:
		r.TransmitHz = float64(transmit)
	}
	return r, nil
}

// frequency reads that of a VFO. One that is new is read again before it is believed: neither family has a check sum.
func (s *session) frequency(ctx context.Context, v codec.VFO) (int64, error) {
	is := func(a codec.Answer) bool { return a.Kind == codec.Frequency && a.VFO == v }
	before := s.last[v]
	for range maximum + 1 {
		a, err := s.ask(ctx, s.t.config.Protocol.Ask(v), is)
		if err != nil {
			return 0, err
		}
		if a.Hz == s.last[v] || near(a.Hz, before) && before != s.last[v] {
			s.last[v] = a.Hz
			return a.Hz, nil
		}
		before = a.Hz
	}
	return 0, errNonsense
}

// The dial is set in steps of dialStep, and only within dialReach: a radio on another band is left alone.
const (
	dialStep  = 10
	dialReach = 1_000_000
)

// set sets what is to be set in this period.
func (s *session) set(ctx context.Context, r Reading) {
	w := s.t.config.Wanted()
	if !w.Has {
		return
	}
	s.setOne(ctx, w, codec.Receiver, r.ReceiveHz, w.ReceiveHz)
	if r.Split && !math.IsNaN(r.TransmitHz) {
		s.setOne(ctx, w, codec.Transmitter, r.TransmitHz, w.TransmitHz)
	}
}

// setOne sets a VFO, once in a period.
func (s *session) setOne(ctx context.Context, w Wanted, v codec.VFO, isHz, wantedHz float64) {
	if s.settled[v].Equal(w.Period) || !s.may() {
		return
	}
	to := int64(math.Round(wantedHz/dialStep)) * dialStep
	off := math.Abs(isHz - float64(to))
	switch {
	case off < dialStep:
		s.settle(w, v, "")
		return
	case !(off < dialReach):
		s.settle(w, v, fmt.Sprintf("not set, its dial is %.1f MHz away", off/1e6))
		return
	}
	err := s.write(ctx, v, to)
	if err == nil {
		s.settle(w, v, "")
		return
	}
	if s.tries[v]++; s.tries[v] >= maximum && ctx.Err() == nil {
		s.settle(w, v, "not set: "+err.Error())
	}
}

func (s *session) settle(w Wanted, v codec.VFO, words string) {
	s.settled[v], s.tries[v] = w.Period, 0
	s.t.tellUnset(words)
}

// may says whether the dial may be set at this moment.
func (s *session) may() bool {
	c := &s.t.config
	return c.WhileTransmitting || !c.Wanted().Keyed
}

// write sets a VFO and reads it back.
func (s *session) write(ctx context.Context, v codec.VFO, hz int64) error {
	p := s.t.config.Protocol
	if !s.may() { // asked as late as can be
		return errors.New("the station transmits")
	}
	if p.Answers() {
		if _, err := s.askOnce(ctx, p.Set(v, hz),
			func(a codec.Answer) bool { return a.Kind == codec.Done }); errors.Is(err, errRefused) {
			return errors.New("it refuses")
		}
	} else if _, err := s.port.Write(p.Set(v, hz)); err != nil {
		return err
	}
	back, err := s.frequency(ctx, v)
	if err != nil {
		return err
	}
	if math.Abs(float64(back-hz)) >= dialStep {
		return errors.New("it stayed where it was")
	}
	return nil
}
