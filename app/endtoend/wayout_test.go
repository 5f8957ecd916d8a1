//go:build window

package endtoend

import (
	"os"
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
	if err := buildProgram(path, "planted"); err != nil {
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

// TestPanicInTheWindow: where the window fails, or what works beside it, the
// enclosure has neither demand nor power before its watchdog would have ended
// the motion, and the failure is told. For the other goroutines see TestPanicInAnyGoroutine.
func TestPanicInTheWindow(t *testing.T) {
	program := plantedProgram(t)
	for _, where := range []string{"window callback", "window's other work"} {
		t.Run(where, func(t *testing.T) {
			folder := t.TempDir()
			e, p := slewing(t, program, "BEAMHELM_PANICS="+folder)
			at := time.Now()
			if err := os.WriteFile(filepath.Join(folder, where), nil, 0o600); err != nil {
				t.Fatal(err)
			}
			status := p.code(t, 10*time.Second)
			took := e.lasting(at, 10*time.Second, "no demand and no power", shutDown)
			busy := e.longestSilence(at, time.Now())
			if status != 3 || !strings.Contains(p.output.String(), "planted in "+where) {
				t.Errorf("status %d, said %s", status, p.output.String())
			}
			t.Logf("no drive and no power %d ms after a panic in: %s; the computer kept others waiting for up to %d ms",
				took.Milliseconds(), where, busy.Milliseconds())
			if took > 800*time.Millisecond+busy {
				t.Errorf("it took %v", took)
			}
		})
	}
}

// TestSignalNeedsNoWindow: with the window's goroutine stopped dead a signal
// still stops the dish, and ends the program within a second. TestEndingsOverALine has the other signals.
func TestSignalNeedsNoWindow(t *testing.T) {
	folder := t.TempDir()
	e, p := slewing(t, plantedProgram(t), "BEAMHELM_PANICS="+folder)
	if err := os.WriteFile(filepath.Join(folder, "hang window callback"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	p.await(5*time.Second, "a window that hangs", func(layout) bool {
		_, err := os.Stat(filepath.Join(folder, "hung window callback"))
		return err == nil
	})
	at := time.Now()
	if err := p.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	status := p.code(t, 10*time.Second)
	ended := time.Since(at)
	took := e.lasting(at, 10*time.Second, "no demand and no power", shutDown)
	busy := e.longestSilence(at, at.Add(ended))
	t.Logf("no drive after %d ms, ended after %d ms; the computer kept others waiting for up to %d ms",
		took.Milliseconds(), ended.Milliseconds(), busy.Milliseconds())
	if ended > time.Second+busy || status != 128+int(syscall.SIGTERM) {
		t.Errorf("it ended with %d after %v", status, ended)
	}
}
