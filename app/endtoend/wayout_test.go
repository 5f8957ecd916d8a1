//go:build window

package endtoend

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// plantedProgram is the program with panics that a test can set off.
func plantedProgram(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "beamhelm-planted")
	build := exec.Command("go", "build", "-tags", "planted", "-o", path, "beamhelm/app")
	build.Stdout, build.Stderr = os.Stderr, os.Stderr
	if err := build.Run(); err != nil {
		t.Fatal(err)
	}
	return path
}

// slewing is a panel that slews an enclosure over a line, with another program and environment.
func slewing(t *testing.T, program string, environment ...string) (*enclosure, *panel) {
	t.Helper()
	usual := binary
	binary = program
	defer func() { binary = usual }()
	for _, variable := range environment {
		name, value, _ := strings.Cut(variable, "=")
		t.Setenv(name, value)
	}
	e, p := openBoth(t, t.TempDir(), station{30, 0}, nil)
	p.slew(e)
	return e, p
}

// TestPanicInAnyGoroutine: whichever goroutine fails, the enclosure is told to
// stop before its watchdog would, and the failure is told.
func TestPanicInAnyGoroutine(t *testing.T) {
	program := plantedProgram(t)
	for _, where := range []string{"loop", "line", "serial port", "desk", "keeping", "records", "recording", "publishing", "stop line", "keeping awake", "window's other work", "signals", "window", "window callback"} {
		t.Run(where, func(t *testing.T) {
			folder := t.TempDir()
			e, p := slewing(t, program, "BEAMHELM_PANICS="+folder)
			at := time.Now()
			if err := os.WriteFile(filepath.Join(folder, where), nil, 0o600); err != nil {
				t.Fatal(err)
			}
			took := noDrive(e, at)
			if status := p.code(t, 3*time.Second); status != 3 || !strings.Contains(p.output.String(), "panic: planted in "+where) {
				t.Errorf("status %d, said %s", status, p.output.String())
			}
			t.Logf("no drive and no power %d ms after a panic in: %s", took.Milliseconds(), where)
			if took > 800*time.Millisecond {
				t.Errorf("it took %v", took)
			}
		})
	}
}

// TestSignalsNeedNoWindow: with the window's goroutine stopped dead each
// signal still stops the dish, and ends the program within a second.
func TestSignalsNeedNoWindow(t *testing.T) {
	program := plantedProgram(t)
	for name, s := range map[string]syscall.Signal{"SIGTERM": syscall.SIGTERM, "SIGINT": syscall.SIGINT, "SIGHUP": syscall.SIGHUP} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			e, p := slewing(t, program, "BEAMHELM_PANICS="+folder)
			if err := os.WriteFile(filepath.Join(folder, "hang window callback"), nil, 0o600); err != nil {
				t.Fatal(err)
			}
			before := p.look().Frame
			for deadline := time.Now().Add(5 * time.Second); time.Now().Before(deadline); before = p.look().Frame {
				time.Sleep(500 * time.Millisecond)
				if p.look().Frame == before {
					break
				}
			}
			at := time.Now()
			if err := p.Process.Signal(s); err != nil {
				t.Fatal(err)
			}
			took := noDrive(e, at)
			status := p.code(t, 3*time.Second)
			ended := time.Since(at)
			t.Logf("%s with the window hung: no drive after %d ms, ended after %d ms with status %d", name, took.Milliseconds(), ended.Milliseconds(), status)
			if ended > time.Second || status != 128+int(s) {
				t.Errorf("it ended with %d", status)
			}
		})
	}
}

// TestNobodyReads: a reader of its output that goes away ends nothing.
func TestNobodyReads(t *testing.T) {
	e, p := slewing(t, binary)
	for range 3 {
		if err := p.Process.Signal(syscall.SIGPIPE); err != nil {
			t.Fatal(err)
		}
	}
	at := time.Now()
	e.until(3*time.Second, "driven after SIGPIPE", func(l truthLine) bool { return l.driven() && l.arrived.After(at.Add(time.Second)) })
	select {
	case <-p.ended:
		t.Error("it ended")
	default:
	}
}
