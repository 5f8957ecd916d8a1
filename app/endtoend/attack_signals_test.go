//go:build planted

package endtoend

import (
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
)

// state is what a program is at when it is attacked, and what brings it there.
type state struct {
	name  string
	moon  bool // the station is one from which the Moon is up
	bring func(*unattended, *enclosure, station)
}

var (
	atRest = state{"at rest", false, func(u *unattended, _ *enclosure, _ station) {
		u.awaitStatus(20*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	}}
	atFullSlew = state{"slewing", false, func(u *unattended, e *enclosure, _ station) {
		defer func() {
			if u.t.Failed() && u.running() {
				u.t.Logf("it did not come to a slew: %+v", u.status())
			}
		}()
		u.slew(e)
	}}
	tracking = state{"tracking", true, func(u *unattended, e *enclosure, s station) { u.track(e, s) }}
)

// openAttacked starts an enclosure, a line that can be spoilt and a program, and brings it to a state.
func openAttacked(t *testing.T, home string, from state, changes ...func(*settings.Settings)) (*unattended, *enclosure,
	*relay) {
	t.Helper()
	return openAttackedWith(t, home, from, nil, changes...)
}

// openAttackedWith is the same of a program whose command is changed before it runs.
func openAttackedWith(t *testing.T, home string, from state, change func(*exec.Cmd),
	changes ...func(*settings.Settings)) (*unattended, *enclosure, *relay) {
	t.Helper()
	s := station{30, 0}
	if from.moon {
		s = underTheMoon(t)
	}
	write := writeSettings(t, home, s, changes...)
	e := openEnclosure(t, home, "-settings", write(""))
	line := openRelay(t, e.link, 0)
	u := openUnattended(t, home, write(line.port), change)
	from.bring(u, e, s)
	return u, e, line
}

func signalAttacks() attacks {
	all := attacks{
		short: "signals", kind: "TERM, INT, HUP, QUIT, KILL, PIPE, STOP and CONT: at rest, slewing, tracking",
		holds: "TERM, INT, HUP, QUIT: no demand and no power within 0.5 s, ended in order within 1 s; KILL, STOP: " +
			"the enclosure's watchdog ends motion, " +
			"and after CONT none comes by itself; PIPE: goes on",
	}
	add := func(name string, short bool, try func(*testing.T)) {
		all.rows = append(all.rows, attack{name: name, short: short, try: try})
	}
	for _, row := range signalEndings() {
		for _, from := range []state{atRest, atFullSlew, tracking} {
			// Slews that are ended by most of them are TestEndingsOverALine's.
			short := from.name == "tracking" && row.cause == "SIGTERM"
			add(row.cause+" "+from.name, short, func(t *testing.T) { row.tryFrom(t, from) })
		}
	}
	for _, from := range []state{atRest, atFullSlew, tracking} {
		add("SIGSTOP and SIGCONT "+from.name, from.name == "slewing", func(t *testing.T) { halted(t, from) })
		add("SIGPIPE "+from.name, from.name == "slewing", func(t *testing.T) { unmoved(t, from, syscall.SIGPIPE) })
	}
	return all
}

// send sends a signal to the program.
func (u *unattended) send(s syscall.Signal) {
	u.t.Helper()
	if err := u.Process.Signal(s); err != nil {
		u.t.Fatal(err)
	}
}

// endsInOrder ends the program as closing its window would: a signal leaves a busy computer too little time for that.
func (u *unattended) endsInOrder() {
	u.t.Helper()
	u.hands.Close()
	if status := u.code(u.t, 10*time.Second); status != 0 {
		u.t.Errorf("it ended with status %d: %s", status, u.output.String())
	}
	if strings.Contains(u.output.String(), "panic") || strings.Contains(u.output.String(), "goroutine ") {
		u.t.Errorf("it said %s", u.output.String())
	}
}

// stops asks for a stop from outside. Right after a full slew, or on a busy
// computer, the dish may not stand yet when the answer is due; asked again, it must.
func (u *unattended) stops(e *enclosure) {
	u.t.Helper()
	asked := time.Now()
	for last := false; ; last = true {
		stop := exec.Command(binary, "stop")
		stop.Env = u.Env
		out, err := stop.CombinedOutput()
		if err == nil && strings.Contains(string(out), "stopped, confirmed") {
			break
		}
		if last || stop.ProcessState.ExitCode() != 3 {
			u.t.Errorf("beamhelm stop: %v, said %s; %+v", err, out, u.status())
			return
		}
	}
	took := e.lasting(asked, 2*time.Second, "no demand", standing)
	if busy := e.longestSilence(asked, time.Now()); took > 1500*time.Millisecond+busy {
		u.t.Errorf("demand or drive for %v", took)
	}
}

// halted: a program that is halted in the middle of it and goes on later moves nothing by itself.
func halted(t *testing.T, from state) {
	u, e, _ := openAttacked(t, privateFolder(t), from)
	at := time.Now()
	u.send(syscall.SIGSTOP)
	took := e.lasting(at, 20*time.Second, "the end of motion", unpowered)
	if busy := e.longestSilence(at, time.Now()); took > stoppedByWatchdog+busy {
		t.Errorf("drive or power for %v", took)
	}
	left := e.until(10*time.Second, "a while",
		func(l truthLine) bool { return l.arrived.After(at.Add(4 * time.Second)) })
	again := time.Now()
	u.send(syscall.SIGCONT)
	u.awaitStatus(10*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	// The enclosure's register holds the demand from before the halt until the next one comes, which must be zero.
	overwritten := false
	e.stays(t, again, 5*time.Second, func(l truthLine) bool {
		overwritten = overwritten || l.demand != left.demand || !l.driven()
		return shutDown(l) || unpowered(l) && !overwritten
	})
	if !overwritten {
		t.Errorf("the demand from before the halt still stands: %v", left.demand)
	}
	u.endsInOrder()
}

// stays checks that every line from a moment on, for some time, is so.
func (e *enclosure) stays(t *testing.T, since time.Time, lasts time.Duration, so func(truthLine) bool) {
	t.Helper()
	e.until(lasts+10*time.Second, "a while", func(l truthLine) bool { return l.arrived.After(since.Add(lasts)) })
	for _, l := range e.since(since) {
		if !so(l) {
			t.Errorf("%v later the enclosure is at %+v", l.arrived.Sub(since), l)
			return
		}
	}
}

// unmoved: what the signal finds goes on.
func unmoved(t *testing.T, from state, signal syscall.Signal) {
	u, e, _ := openAttacked(t, privateFolder(t), from)
	before := u.status()
	at := time.Now()
	for range 10 {
		u.send(signal)
	}
	e.stays(t, at, 3*time.Second, func(l truthLine) bool {
		switch from.name {
		case "at rest":
			return shutDown(l)
		case "slewing":
			return l.power && l.driven()
		}
		return l.power // pushes come and go while tracking
	})
	// One exchange may be lost on a busy computer.
	u.awaitStatus(2*time.Second, "a good link and the same activity", func(s status) bool {
		return s.Activity == before.Activity && s.Link == desk.LinkGood
	})
	u.endsInOrder()
}
