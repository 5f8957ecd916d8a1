//go:build planted

package endtoend

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"beamhelm/app/faultydisk"
)

var update = flag.Bool("update", false, "write the handbook's rows anew")

// stoppedByWatchdog is the enclosure's watchdog of 1 s and what may pass before
// it starts again and until it is seen.
const stoppedByWatchdog = 1500 * time.Millisecond

// goesOn stands for the exit status of a program that does not end.
const goesOn = -2

// lineEnding is a way in which a slew at full drive ends over a real line, in real time.
type lineEnding struct {
	cause, sent string
	begin       func(*testing.T, *unattended, *relay)
	// diskHangs: the disk with all that is kept stops answering in the slew.
	diskHangs bool
	// so is what the enclosure comes to, within a time.
	so     func(truthLine) bool
	within time.Duration
	// status of the program's exit, within endsWithin; inOrder: it noted that it ended so.
	status     int
	endsWithin time.Duration
	inOrder    bool
	signal     syscall.Signal // 0 for another way
}

func lineEndings() []lineEnding {
	hung := func(begin func(*testing.T, *unattended, *relay)) func(*testing.T, *unattended, *relay) {
		return func(t *testing.T, u *unattended, r *relay) {
			u.plant("hang window")
			u.await("hung window")
			begin(t, u, r)
		}
	}
	closed := func(_ *testing.T, u *unattended, _ *relay) { u.hands.Close() }
	fails := func(_ *testing.T, u *unattended, _ *relay) { u.plant("desk") }
	const answered = "The window is closed and its question answered"
	const diskHangs = " while the disk does not answer"
	rows := []lineEnding{
		{"`beamhelm stop`", "zero demand, locked out; drive power stays on", stopFromOutside, false, standing,
			1500 * time.Millisecond, goesOn, 0, false, 0},
		{"The line is unplugged", "nothing: the enclosure's watchdog ends it",
			func(_ *testing.T, _ *unattended,
				r *relay) {
				r.unplug()
			}, false, unpowered, stoppedByWatchdog, goesOn, 0, false, 0},
		{answered, zeroAndOff, closed, false, shutDown, stoppedAfterPanic, 0, 3 * time.Second, true, 0},
		{answered + diskHangs, zeroAndOff, closed, true, shutDown, stoppedAfterPanic, 0, 3 * time.Second,
			false, 0},
		{"A panic in any goroutine", zeroAndOff, fails, false, shutDown, stoppedAfterPanic, 3, endedAfterPanic, false,
			0},
		{"A panic" + diskHangs, zeroAndOff, fails, true, shutDown, stoppedAfterPanic, 3, endedAfterPanic, false, 0},
		{"The window hangs", "after `window_silent_s` the slope down to zero and permit off; drive power stays on",
			hung(func(*testing.T, *unattended, *relay) {}), false, standing, 9 * time.Second, goesOn, 0, false, 0},
	}
	for _, row := range signalEndings() {
		rows = append(rows, row)
		if row.status != 0 {
			continue
		}
		unfollowed := row
		unfollowed.status, unfollowed.inOrder = 128+int(row.signal), false
		windowHangs, hanging := unfollowed, unfollowed
		windowHangs.cause, windowHangs.begin = row.cause+" while the window hangs", hung(row.begin)
		hanging.cause, hanging.diskHangs = row.cause+diskHangs, true
		rows = append(rows, windowHangs, hanging)
	}
	return rows
}

const zeroAndOff = "zero demand, power off"

// signalEndings are those by a signal.
func signalEndings() (rows []lineEnding) {
	for _, s := range []struct {
		name   string
		signal syscall.Signal
	}{{"SIGTERM", syscall.SIGTERM}, {"SIGINT", syscall.SIGINT}, {"SIGHUP", syscall.SIGHUP},
		{"SIGQUIT", syscall.SIGQUIT}} {
		rows = append(rows, lineEnding{s.name, zeroAndOff, sent(s.signal), false, shutDown, stoppedAfterPanic, 0,
			time.Second, true, s.signal})
	}
	return append(rows, lineEnding{"The program is killed (SIGKILL)", "nothing: the enclosure's watchdog ends it",
		sent(syscall.SIGKILL), false, unpowered, stoppedByWatchdog, -1, time.Second, false, syscall.SIGKILL})
}

// sent sends the program a signal.
func sent(s syscall.Signal) func(*testing.T, *unattended, *relay) {
	return func(_ *testing.T, u *unattended, _ *relay) { u.send(s) }
}

// standing says that no drive is applied; power may stay on.
func standing(l truthLine) bool { return l.applied == [2]float64{} && !l.driven() }

// stopFromOutside asks the panel to stop, and wants it confirmed.
func stopFromOutside(t *testing.T, u *unattended, _ *relay) {
	stop := exec.Command(binary, "stop")
	stop.Env = u.Env
	if out, err := stop.CombinedOutput(); err != nil || !strings.Contains(string(out), "stopped, confirmed") {
		t.Errorf("beamhelm stop: %v, said %s", err, out)
	}
}

// TestEndingsOverALine: each ending over a real line keeps the times that the handbook promises.
func TestEndingsOverALine(t *testing.T) {
	for _, row := range lineEndings() {
		t.Run(row.cause, func(t *testing.T) {
			t.Parallel()
			row.try(t)
		})
	}
}

func (row lineEnding) try(t *testing.T) { row.tryFrom(t, atFullSlew) }

// tryFrom is the same from another state than a slew.
func (row lineEnding) tryFrom(t *testing.T, from state) {
	home := privateFolder(t)
	folder := home + "/state"
	var disk *faultydisk.Disk
	if row.diskHangs {
		disk = faultydisk.Mount(t)
		folder = disk.Folder
	}
	u, e, line := openAttackedWith(t, home, from, func(c *exec.Cmd) { c.Env = append(c.Env, "XDG_STATE_HOME="+folder) })
	if row.diskHangs {
		disk.Hang()
		e.until(20*time.Second, "somebody to wait for the disk", func(truthLine) bool { return disk.Waiting() > 1 })
	}
	at := time.Now()
	row.begin(t, u, line)
	took := e.lasting(at, 20*time.Second, "the end of motion", row.so)
	if row.status != goesOn {
		if status := u.code(t, 20*time.Second); status != row.status {
			t.Errorf("status %d, want %d: %s", status, row.status, u.output.String())
		}
	}
	ended := time.Since(at)
	busy := e.longestSilence(at, at.Add(max(took, ended)))
	t.Logf("no drive after %d ms, over after %d ms; the computer kept others waiting for up to %d ms",
		took.Milliseconds(), ended.Milliseconds(), busy.Milliseconds())
	if took > row.within+busy {
		t.Errorf("drive for %v", took)
	}
	if row.status != goesOn && ended > row.endsWithin+busy {
		t.Errorf("the program ended only after %v", ended)
	}
	if row.diskHangs {
		disk.Answer()
	}
	if row.status != goesOn && endedInOrder(t, folder) != row.inOrder {
		t.Errorf("noted that it ended in order: %v, want %v", !row.inOrder, row.inOrder)
	}
}

// endedInOrder reads what the session noted of its end.
func endedInOrder(t *testing.T, state string) bool {
	t.Helper()
	found, err := filepath.Glob(state + "/beamhelm/other/*/last-session*")
	if err != nil || len(found) != 1 {
		t.Fatalf("notes of the session: %v, %v", found, err)
	}
	text, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	said := regexp.MustCompile(`"ended_in_order":\s*(true|false)`).FindSubmatch(text)
	if said == nil {
		t.Fatalf("%s: %s", found[0], text)
	}
	return string(said[1]) == "true"
}

// TestNobodyReads: that whoever read what it prints has gone away ends nothing,
// neither the slew nor the way out after a panic.
func TestNobodyReads(t *testing.T) {
	home := t.TempDir()
	write := writeSettings(t, home, station{30, 0})
	e := openEnclosure(t, home, "-settings", write(""))
	reader, writer, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	u := openUnattended(t, home, write(e.link), func(c *exec.Cmd) { c.Stdout, c.Stderr = writer, writer })
	writer.Close()
	u.slew(e)
	reader.Close()
	for range 3 {
		u.order("complain")
	}
	at := time.Now()
	e.until(20*time.Second, "a slew that goes on",
		func(l truthLine) bool { return l.driven() && l.power && l.arrived.After(at.Add(time.Second)) })
	planted := time.Now()
	u.plant("desk")
	if status := u.code(t, 20*time.Second); status != 3 {
		t.Errorf("status %d (%v), want 3", status, u.ProcessState)
	}
	took := e.lasting(planted, 20*time.Second, "no demand and no power", shutDown)
	if busy := e.longestSilence(planted, time.Now()); took > stoppedAfterPanic+busy {
		t.Errorf("demand or power for %v", took)
	}
}

// The handbook's page, and the marks between which TestEndingsPage keeps its rows.
const (
	endingsPage  = "../../assets/handbook/endings.md"
	endingsBegin = "<!-- over a line: begin -->\n"
	endingsEnd   = "<!-- over a line: end -->\n"
)

// TestEndingsPage: the page promises what TestEndingsOverALine holds the program to.
func TestEndingsPage(t *testing.T) {
	var b strings.Builder
	b.WriteString(endingsBegin +
		"| cause | what reaches the enclosure | no drive applied after at most | the program |\n|---|---|---|---|\n")
	for _, row := range lineEndings() {
		program := "goes on"
		switch {
		case row.status == -1:
			program = "is gone"
		case row.status != goesOn:
			program = fmt.Sprintf("ends within %.1f s with status %d", row.endsWithin.Seconds(), row.status)
		}
		fmt.Fprintf(&b, "| %s | %s | %.1f s | %s |\n", row.cause, row.sent, row.within.Seconds(), program)
	}
	b.WriteString(endingsEnd)
	page, err := os.ReadFile(endingsPage)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, has := strings.Cut(string(page), endingsBegin)
	_, after, hasEnd := strings.Cut(rest, endingsEnd)
	if !has || !hasEnd {
		t.Fatal("the page has no marks for the rows")
	}
	want := before + b.String() + after
	if *update {
		if err := os.WriteFile(endingsPage, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if string(page) != want {
		t.Errorf("the page does not promise what is held to (go test -tags planted ./app/endtoend -run EndingsPage "+
			"-update):\n%s", b.String())
	}
}
