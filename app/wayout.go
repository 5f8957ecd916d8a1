package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"syscall"
	"time"

	"beamhelm/clock"
	"beamhelm/ending"
)

// The program ends within endWithin of a signal or a panic, whatever hangs.
// haltWithin of it is for the dish: zero demand and drive power off. A window
// that is closed waits restWithin, after the dish, for the disk and all else.
const (
	endWithin  = 700 * time.Millisecond
	haltWithin = 550 * time.Millisecond
	tellWithin = 100 * time.Millisecond
	restWithin = 2 * time.Second
)

// The exit status after a panic, and after a signal that the window did not follow.
const (
	statusPanic  = 3
	statusSignal = 128
)

// leaveBy makes panics and signals end the program by way of halt.
func (p *session) leaveBy() {
	ending.Use(p.fail)
	asked := make(chan os.Signal, 1)
	for _, s := range endingSignals() {
		if !signal.Ignored(s) { // as nohup ignores a hang-up
			signal.Notify(asked, s)
		}
	}
	// Whoever read what the program prints may go away: that ends nothing.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE)
	ending.Go("signals", func() {
		select {
		case s := <-asked:
			ending.Here("signals")
			p.follow(s)
		case <-p.ended:
		}
	})
}

// follow ends the program because of a signal: first the dish, without the
// window, then the rest in its order where the window still answers.
func (p *session) follow(s os.Signal) {
	end := time.Now().Add(endWithin)
	p.halt()
	p.log.Warn("signal", "signal", s.String(), "outcome", p.outcome())
	if s == syscall.SIGQUIT {
		p.say(fmt.Sprintf("beamhelm: %v. %s\n%s\n", s, p.outcome(), stacks()))
	}
	ending.Go("closing the window", func() {
		ending.Here("closing the window")
		p.close()
	})
	select {
	case <-p.ended:
		time.Sleep(time.Until(end)) // the program's own way out is shorter
	case <-time.After(time.Until(end)):
	}
	p.logFile.Flush(flushWithin)
	status := statusSignal
	if number, ok := s.(syscall.Signal); ok {
		status += int(number)
	}
	os.Exit(status)
}

// halt ends the loop, which sends zero demand and drive power off, and then the
// line, which sends the same again where that was not accepted. It waits for nothing else.
func (p *session) halt() {
	limit := time.After(haltWithin)
	for _, part := range []struct {
		end   func()
		ended chan struct{}
	}{{p.endLoop, p.loopEnded}, {p.endPort, p.portEnded}} {
		part.end()
		select {
		case <-part.ended:
		case <-limit:
			// Time is up for this one; the other gets its word all the same.
			limit = time.After(tellWithin)
		}
	}
}

// end ends everything in its order: the loop with zero drive and power off, then
// the line, and only then what may have to wait for a disk, and for no longer than restWithin.
func (p *session) end() {
	ending.Here("end")
	p.halt()
	p.log.Info("end", "outcome", p.outcome())
	done := make(chan struct{})
	ending.Go("last writes", func() {
		ending.Here("last writes")
		p.writeLast()
		close(done)
	})
	select {
	case <-done:
	case <-time.After(restWithin):
		p.endRest()
		p.log.Error("what was to be written last did not end", "within", restWithin.String())
		p.say(fmt.Sprintf("beamhelm: what was to be written last did not end within %v: does the disk answer? %s\n",
			restWithin, p.outcome()))
	}
	p.log.Info("ended")
	p.endLog()
	p.logFile.Flush(flushWithin)
	close(p.ended)
}

// writeLast writes what was learned last and that the session ended in order,
// when nobody changes it any more, and ends all that runs beside the dish.
func (p *session) writeLast() {
	p.loopDone.Wait()
	p.write()
	if p.keeper != nil {
		p.keeper.End(p.loop.Status(), clock.Now())
	}
	p.endRest()
	p.rest.Wait()
	p.past.close()
}

// outcome says what is known of the dish after halt.
func (p *session) outcome() string {
	if p.loop.AtRest() {
		return "The enclosure accepted zero demand and drive power off."
	}
	return "The enclosure did not confirm zero demand and drive power off: without requests its watchdog stops " +
		"the drives."
}

// fail ends the program after a panic, and tells it.
func (p *session) fail(f ending.Failure) {
	p.halt()
	p.log.Error("panic", "where", f.Where, "reason", fmt.Sprint(f.Reason), "outcome", p.outcome(), "stack",
		string(f.Stack))
	p.say(fmt.Sprintf("beamhelm: panic in %s: %v. %s\n%s", f.Where, f.Reason, p.outcome(), f.Stack))
	p.logFile.Flush(flushWithin)
	os.Exit(statusPanic)
}

// say prints words, and waits for whoever should read them for tellWithin at most.
func (p *session) say(words string) {
	told := make(chan struct{})
	ending.Go("telling", func() {
		_, _ = io.WriteString(p.stderr, words) // there is nobody else to tell
		close(told)
	})
	select {
	case <-told:
	case <-time.After(tellWithin):
	}
}

// stacks is what every goroutine is at.
func stacks() []byte {
	text := make([]byte, 1<<20)
	return text[:runtime.Stack(text, true)]
}
