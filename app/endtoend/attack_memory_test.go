//go:build planted

package endtoend

import (
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"beamhelm/app/desk"
)

// memoryAttacks let the program have no more memory than it has, or little from its start.
func memoryAttacks() attacks {
	all := attacks{
		short: "memory", kind: "no memory left: slewing, tracking, with something in the program that takes ever " +
			"more, or little from the start",
		holds: "it works on and Stop works, or it is gone and the enclosure's watchdog has ended motion within 1.5 " +
			"s; the records are whole; the next start demands Release and says what happened",
	}
	for _, from := range []state{atFullSlew, tracking} {
		all.rows = append(all.rows,
			attack{name: "used up " + from.name, short: from.name == "slewing",
				try: func(t *testing.T) { memoryUsedUp(t, from) }},
			attack{name: "no more " + from.name, try: func(t *testing.T) { noMoreMemory(t, from) }})
	}
	all.rows = append(all.rows, attack{name: "little at the start", tries: len(littleMemory),
		try: startWithLittleMemory})
	return all
}

var addressSpace = regexp.MustCompile(`VmSize:\s*(\d+) kB`)

// noMore lets the program have no more address space than it has, and some bytes.
func (u *unattended) noMore(t *testing.T, bytes uint64) {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", u.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	said := addressSpace.FindSubmatch(text)
	if said == nil {
		t.Fatalf("%s", text)
	}
	kB, err := strconv.ParseUint(string(said[1]), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	u.limit(t, unix.RLIMIT_AS, kB<<10+bytes)
}

// memoryUsedUp: the runtime ends a program without memory at once, by no way of ours.
func memoryUsedUp(t *testing.T, from state) {
	home := privateFolder(t)
	u, e, line := openAttacked(t, home, from)
	u.noMore(t, 32<<20)
	u.order("hog")
	select {
	case <-u.ended:
	case <-time.After(20 * time.Second):
		t.Fatal("it goes on without memory")
	}
	at := time.Now()
	took := e.lasting(at, 10*time.Second, "the end of motion", unpowered)
	if busy := e.longestSilence(at, time.Now()); took > stoppedByWatchdog+busy {
		t.Errorf("drive or power for %v", took)
	}
	if said := u.output.String(); u.ProcessState.ExitCode() != 2 || !strings.Contains(said, "out of memory") {
		t.Errorf("%v: %.1000s", u.ProcessState, said)
	}
	u.recordsWhole(home)
	again := openUnattended(t, home, writeSettings(t, home, station{30, 0})(line.port), nil)
	s := again.awaitStatus(20*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	if !s.Locked || !s.says("did not end in order") || !s.says("ran out of memory") ||
		!strings.Contains(again.output.String(), "ran out of memory") {
		t.Errorf("%+v; it said %s", s, again.output.String())
	}
	e.stays(t, time.Now(), time.Second, shutDown)
	again.endsInOrder()
}

// noMoreMemory: what works on doesn't need more.
func noMoreMemory(t *testing.T, from state) {
	home := privateFolder(t)
	u, e, _ := openAttacked(t, home, from)
	at := time.Now()
	u.noMore(t, 0)
	e.until(15*time.Second, "a while", func(l truthLine) bool { return l.arrived.After(at.Add(4 * time.Second)) })
	if u.running() {
		u.order("stop")
	}
	took := e.lasting(time.Now(), 10*time.Second, "the end of motion", standing)
	if busy := e.longestSilence(at, time.Now()); took > stoppedByWatchdog+busy {
		t.Errorf("drive for %v", took)
	}
	u.hands.Close()
	status := u.code(t, 10*time.Second)
	t.Logf("status %d", status)
	if said := u.output.String(); status != 0 && !tellsOfMemory.MatchString(said) {
		t.Errorf("status %d: %.1000s", status, said)
	}
	e.stays(t, time.Now().Add(stoppedByWatchdog), time.Second, unpowered)
	u.recordsWhole(home)
}

// littleMemory are limits of the address space at the start, MiB: too little for Go itself, and from there on.
var littleMemory = []int{256, 640, 704, 768, 1024, 1536, 4096}

// startWithLittleMemory: it works, or is gone with a word about memory, and moves nothing.
func startWithLittleMemory(t *testing.T) {
	home := privateFolder(t)
	write := writeSettings(t, home, station{30, 0})
	e := openEnclosure(t, home, "-settings", write(""))
	file := write(e.link)
	for _, mib := range littleMemory {
		u := openUnattended(t, home, file, func(c *exec.Cmd) {
			c.Path = "/bin/sh"
			c.Args = append([]string{"sh", "-c", fmt.Sprintf(`ulimit -v %d; exec "$0" "$@"`, mib<<10)}, c.Args...)
		})
		for until := time.Now().Add(8 * time.Second); time.Now().Before(until) && u.running(); {
			if s, _ := u.tryStatus(); s.Link == desk.LinkGood {
				break
			}
		}
		if u.running() {
			t.Logf("%d MiB: it works", mib)
			u.endsInOrder()
			continue
		}
		said := u.output.String()
		t.Logf("%d MiB: status %d, %.100q", mib, u.ProcessState.ExitCode(), said)
		if u.ProcessState.ExitCode() == 0 || !tellsOfMemory.MatchString(said) {
			t.Errorf("%d MiB: status %d: %.1000s", mib, u.ProcessState.ExitCode(), said)
		}
		e.stays(t, time.Now(), time.Second, shutDown)
	}
}

// tellsOfMemory matches what the runtime, or the C library, says where there is no more.
var tellsOfMemory = regexp.MustCompile(`memory|thread`)
