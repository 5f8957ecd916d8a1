//go:build peers

package conform

import (
	"bufio"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/drive/replica/serve"
)

// timed is a terminal whose Read waits as long as its timeout says.
type timed struct {
	*serve.Terminal
	wait time.Duration
}

func (l *timed) SetReadTimeout(d time.Duration) error {
	l.wait = d
	return nil
}

func (l *timed) Read(p []byte) (int, error) {
	if err := l.SetReadDeadline(time.Now().Add(l.wait)); err != nil {
		return 0, err
	}
	n, err := l.Terminal.Read(p)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = nil
	}
	return n, err
}

// An enclosure that was written from the register page alone, in another
// language, keeps every rule that can be tried: the page says enough, and the
// rules ask for nothing else.
func TestAnEnclosureMadeFromThePageAlone(t *testing.T) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	defer terminal.Close()
	command := exec.Command("/usr/bin/python3", filepath.Join("testdata", "enclosure.py"), terminal.Path)
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	command.Stderr = os.Stderr
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		_ = command.Process.Kill()
		_ = command.Wait() // it was killed
	}()
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || strings.TrimSpace(line) != "ready" {
		t.Fatalf("it is not ready: %q, %v", line, err)
	}
	tried := 0
	c := Config{Unit: 1, Character: 11 * time.Second / 19200, Move: peersMove, Permit: peersMove}
	err = Run(t.Context(), &timed{terminal, 0}, c, func(f Finding) {
		if f.Outcome == Broken {
			t.Errorf("%s: %s: %s", f.ID, f.Rule, f.Words)
		}
		if f.Outcome != NotTried {
			tried++
		}
		if f.Outcome != Kept {
			t.Logf("%v: %s: %s", f.Outcome, f.ID, f.Words)
		}
	})
	if err != nil {
		t.Error(err)
	}
	if tried < peersTry {
		t.Errorf("only %d rules could be tried, %d were before", tried, peersTry)
	}
}
