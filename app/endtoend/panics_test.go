//go:build planted

package endtoend

import (
	"fmt"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The times after a panic, besides what the busy computer takes: until neither
// demand nor power is left at the enclosure, and until the program has ended.
const (
	stoppedAfterPanic = 500 * time.Millisecond
	endedAfterPanic   = time.Second
)

// failing is a goroutine that panics, and what brings it to the place where it does.
type failing struct {
	where string
	// bring, if any, is done after the panic is planted.
	bring func(*unattended, *relay)
	// atStart: it passes the place as the program begins, and never again.
	atStart bool
	// unplugged: it passes the place only without a line; the enclosure's watchdog ends the motion.
	unplugged bool
}

// failings are the goroutines of the program, by the names that they are started with.
func failings() []failing {
	sent := func(s syscall.Signal) func(*unattended, *relay) {
		return func(u *unattended, _ *relay) { _ = u.Process.Signal(s) }
	}
	return []failing{
		{where: "loop"}, {where: "serial port"}, {where: "desk"}, {where: "window"},
		{where: "line", unplugged: true, bring: func(_ *unattended, r *relay) { r.unplug() }},
		{where: "keeping"}, {where: "keeper"}, {where: "records"}, {where: "recording"},
		{where: "keeping awake"}, {where: "sound"}, {where: "camera"}, {where: "memory", atStart: true},
		{where: "publishing", atStart: true}, {where: "publishing figures", atStart: true},
		{where: "publishing to the broker"},
		{where: "time source", atStart: true},
		{where: "log watch"}, {where: "log", bring: func(u *unattended, _ *relay) { u.order("complain") }},
		{where: "noise meter"}, {where: "meter's port"}, {where: "meter's answer"},
		{where: "receiver audio"}, {where: "sound system", atStart: true},
		{where: "radio", atStart: true}, {where: "radio's answers", atStart: true},
		{where: "radio's port", bring: func(u *unattended, _ *relay) { u.hands.Close() }}, // it waits for the end
		{where: "stop line", bring: func(u *unattended, _ *relay) { u.callSilently() }},
		{where: "stop line's caller", bring: func(u *unattended, _ *relay) {
			stop := exec.Command(binary, "stop")
			stop.Env = u.Env
			_ = stop.Run() // the panel that it asks fails
		}},
		{where: "signals", bring: sent(syscall.SIGHUP)}, {where: "closing the window", bring: sent(syscall.SIGTERM)},
		{where: "end", bring: func(u *unattended, _ *relay) { u.hands.Close() }},
		{where: "last writes", bring: func(u *unattended, _ *relay) { u.hands.Close() }},
	}
}

// callSilently asks the stop line for nothing: its caller is waited for, longer than a panic may wait.
func (u *unattended) callSilently() {
	u.t.Helper()
	folder := filepath.Join(u.home(), "run", "beamhelm")
	connection, err := net.Dial("unix", filepath.Join(folder, fmt.Sprintf("stop-%d.socket", u.Process.Pid)))
	if err != nil {
		u.t.Fatal(err)
	}
	u.t.Cleanup(func() { connection.Close() })
}

// elsewhere are goroutines that this test does not bring to fail, and why.
func elsewhere() map[string]string {
	const keys = "the tests of app/keying end the owner of a line in every way"
	return map[string]string{
		"own echoes found":      "it begins after a run with an echo to look for",
		"tone output":           "it begins with a tone output, which this station hasn't",
		"own echoes":            "it is there with a tone output alone: TestTheEndDropsTheKey",
		"simulated transmitter": "it is there in practice alone, where there is no enclosure",
		"keying":                keys, "keying line": keys, "keying told": keys, "keying end": keys,
		"keying orders":       keys,
		"simulated receiver":  "it is there in practice alone, where there is no enclosure",
		"simulated dish":      "there is no enclosure in practice",
		"demonstration":       "there is no enclosure in practice",
		"lines for hands":     "the tests' own build alone has it",
		"telling":             "it begins when the dish has stopped",
		"window's other work": "there is none without a window: TestPanicInTheWindow",
	}
}

// TestPanicInAnyGoroutine: whichever goroutine of the real program panics, by
// its own stack, the enclosure has neither demand nor power before its watchdog
// would have ended the motion, and the program ends with one line that says what failed.
func TestPanicInAnyGoroutine(t *testing.T) {
	for _, f := range failings() {
		t.Run(f.where, func(t *testing.T) {
			t.Parallel()
			f.try(t)
		})
	}
}

var planted = regexp.MustCompile(`(?m)^beamhelm: panic in (.*): planted in (.*) at (\d+)\. The enclosure (accepted|did not confirm) zero demand and drive power off.*$`)

func (f failing) try(t *testing.T) {
	home := t.TempDir()
	write := writeSettings(t, home, station{30, 0}, everything(t))
	e := openEnclosure(t, home, "-settings", write(""))
	line := openRelay(t, e.link, 0)
	u := openUnattended(t, home, write(line.port), func(c *exec.Cmd) {
		if f.atStart {
			folder := strings.TrimPrefix(c.Env[len(c.Env)-1], "BEAMHELM_PANICS=")
			if err := os.WriteFile(filepath.Join(folder, f.where), nil, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	})
	if !f.atStart {
		u.slew(e)
		u.plant(f.where)
	}
	since := time.Now()
	if f.bring != nil {
		f.bring(u, line)
	}
	if status := u.code(t, 20*time.Second); status != 3 {
		t.Errorf("status %d, want 3", status)
	}
	ended := time.Now()
	said := planted.FindAllStringSubmatch(u.output.String(), -1)
	if len(said) != 1 || said[0][1] != f.where || said[0][2] != f.where {
		t.Fatalf("it said %q", u.output.String())
	}
	if log := readLog(t, home+"/state"); f.where != "log" && !strings.Contains(log, `msg=panic where=`) {
		t.Errorf("the log has no panic: %s", log)
	}
	nanos, err := strconv.ParseInt(said[0][3], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	at, within := time.Unix(0, nanos), stoppedAfterPanic
	if f.unplugged {
		at, within = since, stoppedByWatchdog
	}
	f.judge(t, e, at, ended, within)
}

// stopped is what the enclosure comes to.
func (f failing) stopped() func(truthLine) bool {
	if f.unplugged {
		return unpowered
	}
	return shutDown
}

// judge says when the enclosure had no drive and no power, and when the program had ended.
func (f failing) judge(t *testing.T, e *enclosure, at, ended time.Time, within time.Duration) {
	t.Helper()
	took := e.lasting(at, 20*time.Second, "no demand and no power", f.stopped())
	busy := e.longestSilence(at, ended)
	t.Logf("no demand and no power %d ms after the panic, ended after %d ms; the computer kept others waiting for "+
		"up to %d ms",
		took.Milliseconds(), ended.Sub(at).Milliseconds(), busy.Milliseconds())
	if took > within+busy {
		t.Errorf("no demand and no power only after %v", took)
	}
	if since := ended.Sub(at); !f.unplugged && since > endedAfterPanic+busy {
		t.Errorf("the program ended only after %v", since)
	}
}

// TestEveryGoroutineIsMadeToFail: no goroutine of the program is missing above.
func TestEveryGoroutineIsMadeToFail(t *testing.T) {
	known := map[string]bool{}
	for _, f := range failings() {
		known[f.where] = false
	}
	for where := range elsewhere() {
		known[where] = false
	}
	started := regexp.MustCompile(`\.(?:Go|Do)\("([^"]+)"`)
	for _, root := range []string{"../../app", "../../drive"} {
		err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			text, err := os.ReadFile(path)
			for _, match := range started.FindAllSubmatch(text, -1) {
				where := string(match[1])
				if _, has := known[where]; !has {
					t.Errorf("%s: %s is never made to fail", path, where)
				}
				known[where] = true
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for where, found := range known {
		if !found {
			t.Errorf("%s: no goroutine is started by this name", where)
		}
	}
}
